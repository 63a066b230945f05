"""The panes of the window. None imports another; they meet in the session."""
