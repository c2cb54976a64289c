"""Findings: what each looks for, where it is, and a way out. `table.py` has them all."""
