"""Redesign: from the finished sizes that are wanted back to the pattern that has them."""
