"""A stock file: what boards and offcuts there are, what more would cost, and keeping it up to date."""
