"""Bag files: a project as versioned, indented JSON, and back again.

Lengths in a file are mm, whatever the unit that the bag is shown in; floats are written with
the fewest digits that read back as the same float, so a file gives back its bag exactly. A
file is read in four steps: JSON (text.py), earlier versions brought forward (migrations.py),
the shape of its groups (shapes.py, groups.py, records.py), and the model's own rules. Whatever is
wrong is a BagFileError of one sentence that names the file.
"""

from core.storage.files import (
    SAMPLES,
    backup_of,
    demo_bag,
    project_to_bytes,
    read_bag,
    read_file,
    read_project,
    reading_from_stream,
    sample,
    write_bag,
    write_project,
)
from core.storage.records import FORMAT, VERSION
from core.storage.text import (
    MOST_BYTES,
    Reading,
    bag_from_json,
    bag_to_json,
    project_from_json,
    project_to_json,
    reading_from_json,
    schema_json,
)

__all__ = (
    "FORMAT",
    "MOST_BYTES",
    "SAMPLES",
    "VERSION",
    "Reading",
    "backup_of",
    "bag_from_json",
    "bag_to_json",
    "demo_bag",
    "project_from_json",
    "project_to_bytes",
    "project_to_json",
    "read_bag",
    "read_file",
    "read_project",
    "reading_from_json",
    "reading_from_stream",
    "sample",
    "schema_json",
    "write_bag",
    "write_project",
)
