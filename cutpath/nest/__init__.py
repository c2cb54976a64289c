"""What goes on which board: stock, placements, the bound. Knows nothing of DXF or drawing."""
