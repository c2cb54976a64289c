"""The packet: everything that a shop and a site need on paper, in one page."""
