"""The flat pieces."""
