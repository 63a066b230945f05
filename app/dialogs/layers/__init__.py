"""The materials: layers, goods of parts, notions."""
