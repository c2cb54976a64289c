"""The one table of tolerances, each with its reason. All lengths in millimetres."""

from typing import Final

#: Two computed points closer than this are one point. Far above the rounding of doubles at 10 m (2e-12 mm),
#: far below anything a machine can move.
SAME_POINT: Final = 1e-9

#: How far a coordinate read back from a cut file may stand from the one that was meant. Nine decimals of an
#: inch are 2.5e-8 mm, so an honest file stays well inside.
FILE_MATCH: Final = 1e-6

#: Slack when a value is held against a limit, so that 7 3/4 in computed as 196.85000000000002 mm keeps a limit
#: of 7 3/4 in. A limit that is missed by less than this can't be measured by anybody.
LIMIT_SLACK: Final = 1e-6

#: Greatest distance between an arc and the chords that stand for it in a polygon (areas, overlaps, gaps).
#: A tenth of what the finest shop machine holds.
ARC_CHORD: Final = 1e-3

#: Slack when nested parts are held against the gap that was asked for: twice the chord error of two arcs.
GAP_SLACK: Final = 2.5e-3

#: What a cut may stand off the design before the simulated cut fails: 0.001 in less a hair, under what the finest shop
#: machine holds.
CUT: Final = 0.025

#: Boards differ in thickness by less than this where they are meant to be of one (common practice, no source).
ONE_THICKNESS: Final = 0.5

#: Half of the last digit that people are shown, 0.01 mm: added to what is told as enough, so that rounding takes
#: nothing off it.
SHOWN: Final = 0.005

#: Decimals written to files, in the job's unit, so that 7 1/4 reads 7.25.
WRITTEN_DECIMALS: Final = 9

#: Ends of lines and arcs of somebody's drawing that are this near are one: arcs written to four decimals of an inch
#: miss their neighbours by half of it. Machines join what is nearer than a few hundredths (common practice, no source).
JOINED: Final = 0.01

#: The ends of one polyline that is meant to be closed are one number written twice; more than this is a gap.
POLYLINE_GAP: Final = 1e-4

#: A segment shorter than this has no length: 1e-6 in, below what any reader keeps.
NO_LENGTH: Final = 2.54e-5

#: Segments shorter than this are under one step of a shop machine (0.01 mm; common practice, no source): tool radius
#: compensation fails on them.
TINY: Final = 0.01
