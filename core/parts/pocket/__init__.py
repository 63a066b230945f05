"""The pocket: a rectangle folded into a tube."""
