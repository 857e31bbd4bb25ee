"""Proofs: load sequences, runs by labeling, the master problem, and lower bounds."""
