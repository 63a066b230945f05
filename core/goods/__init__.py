"""Goods: layers, the wall that they make, and what is bought besides."""
