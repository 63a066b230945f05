"""The separate base: a bottom piece of its own, and a ring of walls sewn round it."""
