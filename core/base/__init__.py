"""What meets every room: lengths and amounts where a person types or reads them, errors, files."""
