"""What the wood that is left can carry: sections, a beam of varying depth, design values, shares of what is allowed."""
