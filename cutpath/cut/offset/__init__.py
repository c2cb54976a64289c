"""Exact cutter compensation: chains of lines and arcs set off by a distance."""
