"""Everything a browser touches: pages for customers, the seller and the driver."""
