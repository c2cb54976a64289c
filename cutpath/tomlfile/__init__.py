"""TOML files that people write: read within bounds, and their slips of the pen shown mended."""
