"""A ring of strips sewn round two panels: the gusset strip, and the wrap."""
