"""The stair's other pieces: treads, riser boards, rail, and what goes with the stringers. Numbers only, no drawing."""
