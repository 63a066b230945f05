"""Views of the bag; they meet only through the document."""
