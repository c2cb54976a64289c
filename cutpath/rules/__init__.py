"""Rule sets as data, one file each, and the checks that read them."""
