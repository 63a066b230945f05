"""The bag in space as plain data: what moves and how, and what filling needs to know."""
