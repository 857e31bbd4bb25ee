"""What a seller has from before: a table of customers, orders or lots, read, matched and brought in."""
