"""The base board: the stiffener in the bottom."""
