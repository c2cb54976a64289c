"""From readings to the stringer: site, stair, outline, throat, strength. Knows no cutters, boards or files."""
