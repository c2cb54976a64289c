"""The full-size pattern as PDF."""
