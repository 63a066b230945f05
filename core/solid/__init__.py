"""The bag in space: hinge fold of the flat pieces, mesh and filled shape."""
