"""What differs from the starting bag and from variants."""
