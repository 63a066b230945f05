"""The booklet of steps, as PDF and as a web page."""
