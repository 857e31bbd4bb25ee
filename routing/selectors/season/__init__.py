"""What the books say to the season planner, and the advice it gave."""
