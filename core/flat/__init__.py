"""Flat pieces: edges, allowances, folds, marks, seams, stitch lines."""
