"""The window and the command line around the pattern model."""
