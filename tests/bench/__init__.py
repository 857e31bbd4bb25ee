"""The planner's yardstick: `python -m tests.bench`."""
