"""A heap as it lies: what could be done with it, and what each of that would take and bring."""
