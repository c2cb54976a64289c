"""All files of a plan as bytes: cut files, lists, drawings, packets, `result.json`. Nothing is written here."""
