"""Runs, loads and drops as the driver and the day page see them."""
