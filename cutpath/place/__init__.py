"""Putting an export's files in a folder: all of them or none."""
