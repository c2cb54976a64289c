"""Boards longer than the machine's bed, cut in several set-ups."""
