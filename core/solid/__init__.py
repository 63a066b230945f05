"""The bag in space: hinge fold of the flat pieces, and later its filled shape."""
