"""Where parts may sit, and what body, top and parts see of one another."""
