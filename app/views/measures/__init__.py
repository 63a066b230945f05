"""The list of measures."""
