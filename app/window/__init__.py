"""The main window, its actions and menus."""
