"""The folding bag."""
