"""What differs from the starting bag."""
