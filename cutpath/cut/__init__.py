"""The cutter: reliefs, offsets, what the tool follows. Knows nothing of boards in stock or of DXF."""
