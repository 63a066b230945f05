"""The list of measures on the left of the window."""
