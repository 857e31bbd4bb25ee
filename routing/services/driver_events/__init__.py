"""What phones report from the road: kept once, applied, or kept as a conflict and resolved."""
