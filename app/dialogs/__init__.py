"""Dialogs: paper, layers, about."""
