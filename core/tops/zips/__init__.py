"""What every top with a zip has in common."""
