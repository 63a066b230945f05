"""The cutting plan."""
