"""The booklet: pictures of the steps, and its pages as PDF and as HTML."""
