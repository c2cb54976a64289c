"""Faults between the keys of treads, riser boards and rail, and those of the stair that they belong to.

Values come as for `between`: as read, defaults filled in, `BAD` for what is at fault already, exact millimetres.
"""

from __future__ import annotations

from cutpath.job.kinds import BAD, Context, Values
from cutpath.tolerances import ONE_THICKNESS
from cutpath.units import show


def piece_faults(values: Values, ctx: Context) -> None:
    """Note what is wrong between the tables of a job's other pieces and the rest of it."""
    stair, stringer = values["stair"], values["stringer"]
    treads, risers, rail = values["treads"], values["riser_boards"], values["rail"]
    if isinstance(treads, dict):
        _pair(treads, ctx)
        if stair is not BAD:
            _thickness("treads", treads, "tread_thickness", stair, ctx)
    if isinstance(risers, dict) and stair is not BAD:
        if stair["riser_board"] == 0:
            ctx.bad("riser_boards", "stair.riser_board is 0, so the risers are open: give their thickness there")
        else:
            _thickness("riser_boards", risers, "riser_board", stair, ctx)
    if stringer is not BAD and _on_no_teeth(stringer):
        if isinstance(treads, dict) and treads["side_overhang"] is not BAD and treads["side_overhang"] > 0:
            ctx.bad(
                "treads.side_overhang",
                f"{show(treads['side_overhang'], ctx.unit)} where the treads end at the stringers: leave it out",
            )
        if isinstance(rail, dict) and rail["place"] == "inside":
            ctx.bad(
                "rail.place",
                '"inside" where the treads end at the stringers, and no tread is notched round a post: write "outside"',
            )


def _on_no_teeth(stringer: Values) -> bool:
    """Whether the treads end at the stringers' faces and lie on no teeth."""
    if stringer["form"] == "plate":
        return isinstance(stringer["plate"], dict) and stringer["plate"]["profile"] == "straight"
    return bool(stringer["form"] == "housed")


def _pair(treads: Values, ctx: Context) -> None:
    most, source = treads["span_most"], treads["span_source"]
    if most is not None and source is None:
        ctx.bad("treads.span_source", "missing beside span_most: say where the number comes from, as a maker's sheet")
    if source is not None and most is None:
        ctx.bad("treads.span_most", "missing beside span_source: give the greatest span, or drop the source")


def _thickness(table: str, values: Values, key: str, stair: Values, ctx: Context) -> None:
    size, wanted = values["size"], stair[key]
    if BAD in (size, wanted) or abs(size.thickness - wanted) < ONE_THICKNESS:
        return
    ctx.bad(
        f"{table}.size",
        f"{size.label(ctx.unit)} is {show(size.thickness, ctx.unit)} thick, and stair.{key} is "
        f"{show(wanted, ctx.unit)}: make them agree",
    )
