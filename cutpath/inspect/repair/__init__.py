"""Mending a file without guessing: what is changed is listed, all else is left as it was."""
