"""Two strips with a zip between them, on top of a bag that stands as a box."""
