"""Everything that is written: DXF, CSV, JSON, drawings, and putting files in place all together."""
