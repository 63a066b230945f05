"""A strip inside the top edge, by which the bag is finished."""
