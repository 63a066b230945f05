"""Thin writers: PDF, HTML, CSV, booklet."""
