"""The cautions that go with every result."""

CAUTIONS = (
    "Drawn from the readings and limits it was given; it can't know the site, the wood or the local code. "
    "The local code and a licensed professional decide.",
    "Measure the first stringer against the file's check dimension, and hang it, before cutting the rest.",
    "Cutting: guards on, eyes, ears and lungs protected, the board clamped; small waste pieces fly.",
    "Lifting: stringers are long and heavy; two people, and nobody underneath.",
    "Falls: an unfinished stair carries nobody; close it off until treads, rails and fastenings are in.",
)
"""One line each, for the end of a page."""

SHORT_CAUTION = "Hold against the local code; a licensed professional decides. Trial-cut and measure first."
"""For places with room for one line."""
