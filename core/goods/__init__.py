"""The goods: what is cut from which, laid out, and what to buy."""
