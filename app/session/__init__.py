"""One open bag and what every view of it shares; no widget, no box."""
