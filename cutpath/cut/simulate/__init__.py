"""The simulated cut: the tool swept along its paths, and what is left held against the design."""
