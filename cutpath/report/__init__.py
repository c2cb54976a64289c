"""What people read on a terminal: short, aligned, plain."""
