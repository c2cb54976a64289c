"""The first stringer as it was cut: its tape readings held against the drawing, and what may explain the rest."""
