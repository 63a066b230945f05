"""An open top: its hems, their findings, and how they are sewn."""
