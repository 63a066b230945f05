"""The order of sewing."""
