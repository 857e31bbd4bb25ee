"""What a load, an order, an hour and an acre earned. Pure functions: no Django, no tables."""
