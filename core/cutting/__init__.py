"""Materials to buy and to cut: cut list, cutting plan, notions."""
