"""How work that takes a while tells how far it is."""

from collections.abc import Callable

Progress = Callable[[float], bool]
"""Hears the share done, 0 to 1; answers whether to go on."""
