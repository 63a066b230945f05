"""The boxed panel: back, bottom and front in one piece or two, its corners boxed."""
