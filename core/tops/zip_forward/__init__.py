"""A zip that comes to lie on the front face."""
