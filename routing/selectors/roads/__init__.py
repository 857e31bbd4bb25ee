"""Which roads are loaded, and every drive on them."""
