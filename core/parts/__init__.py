"""The parts of a bag, one file each: its record, figures, pieces, marks and findings."""
