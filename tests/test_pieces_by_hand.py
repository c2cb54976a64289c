"""Pieces by hand."""
