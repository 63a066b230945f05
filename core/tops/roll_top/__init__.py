"""A top that is rolled down over itself, and held so."""
