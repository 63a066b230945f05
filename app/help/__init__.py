"""The help: its pages, glossary and drawings, list of keys, search and window."""
