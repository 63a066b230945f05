"""Bag files: one bag as versioned, indented JSON, and back again.

Lengths in a file are mm, whatever the unit that the bag is shown in; floats are written with
the fewest digits that read back as the same float, so a file gives back its bag exactly. A
file is read in three steps: JSON (text.py), the shape of the records (records.py), and the
model's own rules. Whatever is wrong is a BagFileError of one sentence that names the file.
"""

from core.bagfile.files import SAMPLES, demo_bag, read_bag, sample, write_bag
from core.bagfile.records import FORMAT, VERSION, schema_json
from core.bagfile.text import MOST_BYTES, bag_from_json, bag_to_json

__all__ = (
    "FORMAT",
    "MOST_BYTES",
    "SAMPLES",
    "VERSION",
    "bag_from_json",
    "bag_to_json",
    "demo_bag",
    "read_bag",
    "sample",
    "schema_json",
    "write_bag",
)
