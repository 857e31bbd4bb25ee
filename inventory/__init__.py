"""The wood: units of ground, yards, kinds, lots, drying, and what a cord cost to make.

Knows nothing of orders, roads or pages. Rules are in `core`, rows in `models`, reading in `selectors`,
writing in `services`.
"""
