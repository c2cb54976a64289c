"""Cuts that two neighbours share, made once for both."""
