"""A job's design laid over a file that somebody drew: where it lies, and where the two differ."""
