"""Laying rectangles on goods."""
