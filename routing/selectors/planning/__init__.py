"""The books as the planner's values."""
