"""Reading, checking and describing job files: the table of keys, the reader, the JSON Schema, the starter."""
