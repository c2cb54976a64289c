"""Lists and tables: `result.json`, the cut list, set-out and tape sheet."""
