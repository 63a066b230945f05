"""Bag files: a project as versioned, indented JSON, and back again.

Lengths in a file are mm, whatever the unit that the bag is shown in; floats are written with
the fewest digits that read back as the same float, so a file gives back its bag exactly. A
file is read in four steps: JSON (text.py), earlier versions brought forward (migrations.py),
the shape of its groups (shapes.py, groups.py, records.py), and the model's own rules. Whatever is
wrong is a BagFileError of one sentence that names the file.
"""
