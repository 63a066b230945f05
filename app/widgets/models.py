"""What the models of lists and tables are asked with."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex

Index = QModelIndex | QPersistentModelIndex
"""Where an item of a model stands."""
ROOT = QModelIndex()
"""Above the rows: what Qt asks about when it names no row."""
