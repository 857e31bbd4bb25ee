"""The search for good plans: a schedule with its clocks, insertion, destruction and annealing."""
