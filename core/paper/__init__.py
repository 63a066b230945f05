"""Drawings of the bag: records first, then thin writers for paper and files."""
