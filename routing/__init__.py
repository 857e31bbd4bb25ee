"""The road: engines and roads, rigs, the planner, runs and loads, what driving cost and what was earned."""
