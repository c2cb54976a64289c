"""Straight pieces sawn from lumber: through cuts, one after another along it."""
