"""What loads, orders, hours and markets bring, read from the books."""
