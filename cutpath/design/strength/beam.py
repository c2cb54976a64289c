"""A beam of varying stiffness on any number of supports, by the force method.

The beam is first held at its two ends alone, where statics gives every moment; each support between them then pushes up
as hard as it takes to bring the beam back to it (virtual work; any text on statically indeterminate beams). Each piece
between two nodes has one stiffness, so that moments are parabolas there and every integral is exact by Simpson's rule.

Axis frame: s along the beam's axis from its upper end, millimetres; loads and deflections square to the axis, downward
positive; newtons. Moments are positive where they stretch the lower edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Response(Struct, frozen=True):
    """What load cases do to a beam; rows are cases.

    Attributes:
        moments: at the nodes, (cases, nodes), N mm.
        shears: just before each node and just after it, (cases, nodes, 2), N: the slope of the moment along s.
        deflections: at the nodes, (cases, nodes), mm; of the first cases alone where no more were asked for.
        reactions: at the supports in their order, (cases, supports), N, upward positive.
    """

    moments: Floats
    shears: Floats
    deflections: Floats
    reactions: Floats


def respond(
    nodes: Sequence[float],
    stiffness: Sequence[float],
    supports: Sequence[int],
    spread: Floats,
    points: Floats,
    deflected: int | None = None,
) -> Response:
    """Solve load cases on one beam.

    Args:
        nodes: s of each node, rising, millimetres; the first and the last are supports.
        stiffness: E I of each piece between two nodes, N mm2.
        supports: indices of the nodes that are held, rising, the first and the last node among them.
        spread: uniform load on each piece, (cases, pieces), N/mm of axis.
        points: load at each node, (cases, nodes), N.
        deflected: of so many cases, from the first on, deflections are told; None: of all.

    Raises:
        ValueError: the ends are not held, or shapes that don't agree.
    """
    import numpy as np

    s, ei = np.asarray(nodes, dtype=float), np.asarray(stiffness, dtype=float)
    count, cases = len(s), len(spread)
    if len(supports) < 2 or supports[0] != 0 or supports[-1] != count - 1:
        raise ValueError("a beam is held at both its ends")
    if spread.shape != (cases, count - 1) or points.shape != (cases, count) or ei.shape != (count - 1,):
        raise ValueError("loads or stiffness of another shape than the beam's nodes")
    length = np.diff(s)
    inner = list(supports[1:-1])
    push = np.zeros((len(inner), count))
    push[range(len(inner)), inner] = -1.0
    if inner:
        # The loads, then a unit push at each support between the ends.
        moments, middles, shears = _held_at_its_ends(
            s, np.vstack([spread, np.zeros((len(inner), count - 1))]), np.vstack([points, push])
        )
        unit, unit_middle = moments[cases:], middles[cases:]

        def work(at: Floats, middle: Floats) -> Floats:
            parts = at[:, None, :-1] * unit[None, :, :-1] + at[:, None, 1:] * unit[None, :, 1:]
            parts += 4 * middle[:, None, :] * unit_middle[None, :, :]
            # A sixth of it is the work itself, on either side of what is solved.
            found: Floats = (parts * length / ei).sum(axis=2)
            return found

        forces = -np.linalg.solve(work(unit, unit_middle), work(moments[:cases], middles[:cases]).T).T
        moments = moments[:cases] + forces @ unit
        middles = middles[:cases] + forces @ unit_middle
        shears = shears[:cases] + np.einsum("ck,kns->cns", forces, shears[cases:])
    else:
        moments, middles, shears = _held_at_its_ends(s, spread, points)
        forces = np.zeros((cases, 0))
    ends = (shears[:, :1, 1] + points[:, :1], points[:, -1:] - shears[:, -1:, 0])
    # The push of a support at its node is a step in the shear, which `shears` holds already.
    bent, _ = _deflections(length, ei, moments[:deflected], middles[:deflected])
    return Response(moments, shears, bent, np.hstack([ends[0], forces, ends[1]]))


class Extremes(Struct, frozen=True):
    """The least and the greatest that a load does to a beam wherever it stands, in two rows; signs as in `Response`.

    Attributes:
        moments: at the nodes, (2, nodes), N mm.
        shears: just before each node and just after it, (2, nodes, 2), N.
        reactions: at the supports in their order, (2, supports), N.
    """

    moments: Floats
    shears: Floats
    reactions: Floats


def moved(nodes: Sequence[float], stiffness: Sequence[float], supports: Sequence[int], load: float) -> Extremes:
    """What one load does that may stand anywhere, by lines of influence (any handbook): exact at every node.

    Beside a section the load counts on its worse side, and beside a support it is all shear. On more than two supports
    what the inner ones push is a cubic of the load's place on each piece, which is as stiff all along, so that the
    worst place between two nodes is found in closed form.

    Args:
        nodes: as in `respond`; likewise `stiffness` and `supports`.
        stiffness: E I of each piece.
        supports: indices of the nodes that are held.
        load: not less than 0, N.
    """
    import numpy as np

    s = np.asarray(nodes, dtype=float) - nodes[0]
    span, count, inner, held = s[-1], len(s), list(supports[1:-1]), list(supports)
    if not inner:
        # The moment is greatest under the load, the shear on either side of it.
        last = load * s / span
        first = load - last
        shears = np.repeat(np.stack([-last, first])[:, :, None], 2, axis=2)
        shears[:, 0, 0], shears[:, -1, 1] = 0.0, 0.0
        moments = np.stack([np.zeros(count), first * s])
        return Extremes(moments, shears, np.array([[0.0, 0.0], [load, load]]))
    length = np.diff(s)
    push = np.zeros((len(inner), count))
    push[range(len(inner)), inner] = -1.0
    unit, middle, unit_shears = _held_at_its_ends(s, np.zeros((len(inner), count - 1)), push)
    # A load at a place sinks each support as a push there lifts the place (Maxwell): both ways of it have to cancel.
    sag, slope = _deflections(length, np.asarray(stiffness, dtype=float), unit, middle)
    both = load * np.linalg.solve(sag[:, inner].T, np.hstack([sag, slope])).T
    force, turn = (np.asarray(each, dtype=float) for each in (both[:count], both[count:]))

    def worst(alone: Floats, steps: Floats, each: Floats) -> Floats:
        """Of what a beam held at its ends bears, straight on each piece, with what the inner supports add."""
        straight = np.diff(alone, axis=0) / length[:, None]
        whole = alone + force @ each
        return _extremes(
            whole[:-1] + steps,
            whole[1:] + steps,
            (straight + turn[:-1] @ each) * length[:, None],
            (straight + turn[1:] @ each) * length[:, None],
        )

    at, none = s[:, None], np.zeros((1, 1))
    under = load * np.minimum(at, s) * (span - np.maximum(at, s)) / span
    # Past a section the load counts whole to its shear; a piece lies on one side of it.
    far = np.asarray(np.repeat(-load * at / span, count, axis=1), dtype=float)
    past = np.where(np.arange(count - 1)[:, None] >= np.arange(count), load, 0.0)
    shears = np.repeat(worst(far, past, unit_shears[:, :, 1])[:, :, None], 2, axis=2)
    # It steps at a support, and at the beam's ends, alone.
    shears[:, held, 0] = worst(far[:, held], past[:, held], unit_shears[:, held, 0])
    shears[:, 0, 0], shears[:, -1, 1] = 0.0, 0.0
    share = s[inner][:, None] / span
    ends = np.hstack([share - 1.0, np.eye(len(inner)), -share])
    bare = np.hstack([load - load * at / span, np.zeros((count, len(inner))), load * at / span])
    return Extremes(worst(under, none, unit), shears, worst(bare, none, ends))


def _extremes(first: Floats, last: Floats, up: Floats, down: Floats) -> Floats:
    """The least and the greatest of cubics from 0 to 1, over all rows.

    Args:
        first: at 0, (pieces, columns).
        last: at 1.
        up: their slope at 0.
        down: their slope at 1.
    """
    import numpy as np

    middle = 3 * (last - first) - up - down
    # The slope is a parabola drawn by these three: of one sign it turns nowhere.
    low, high = (np.minimum(up, down), np.maximum(up, down))
    turns = (np.minimum(low, middle) < 0) & (np.maximum(high, middle) > 0)
    at, rise, square, cubic = (each[turns] for each in (first, up, middle - up, up + down - 2 * (last - first)))
    half = square + np.copysign(np.sqrt(np.maximum(square**2 - 3 * cubic * rise, 0.0)), square)
    found: Floats = np.stack([np.minimum(first, last).min(axis=0), np.maximum(first, last).max(axis=0)])
    columns = np.nonzero(turns)[1]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        places = -half / (3 * cubic), -rise / half
    # What is past an end, or nowhere, counts as an end.
    for t in (np.clip(np.nan_to_num(each), 0.0, 1.0) for each in places):
        value = at + t * (rise + t * (square + t * cubic))
        np.minimum.at(found[0], columns, value)
        np.maximum.at(found[1], columns, value)
    return found


def _held_at_its_ends(s: Floats, spread: Floats, points: Floats) -> tuple[Floats, Floats, Floats]:
    """Moments at nodes and in the middle of pieces, and shears, of a beam held at its ends, by statics alone."""
    import numpy as np

    length = np.diff(s)
    on = spread * length
    total = on.sum(axis=1) + points.sum(axis=1)
    last = (on @ ((s[:-1] + s[1:]) / 2 - s[0]) + points @ (s - s[0])) / (s[-1] - s[0])
    # With a case for every node these are the largest arrays there are, so that each is filled where it stands.
    before, after = shears = np.empty((2, *points.shape))
    np.cumsum(points, axis=1, out=after)
    np.subtract((total - last)[:, None], after, out=after)
    after[:, 1:] -= np.cumsum(on, axis=1)
    np.add(after, points, out=before)
    # Before the first node there is no beam, and none after the last.
    before[:, 0], after[:, -1] = 0.0, 0.0
    steps = after[:, :-1] + before[:, 1:]
    steps *= length
    steps /= 2
    moments = np.zeros(points.shape)
    np.cumsum(steps, axis=1, out=moments[:, 1:])
    middles = np.divide(on, 4, out=steps)
    np.subtract(after[:, :-1], middles, out=middles)
    middles *= length / 2
    middles += moments[:, :-1]
    return moments, middles, np.moveaxis(shears, 0, 2)


def _deflections(length: Floats, ei: Floats, moments: Floats, middles: Floats) -> tuple[Floats, Floats]:
    """How far each node sinks, and the slope there."""
    import numpy as np

    bent = (moments[:, :-1] + 4 * middles + moments[:, 1:]) * length / 6 / ei
    drop = (moments[:, :-1] + 2 * middles) * length**2 / 6 / ei
    start = np.zeros((len(moments), 1))
    slope = np.concatenate([start, -np.cumsum(bent, axis=1)], axis=1)
    found = np.concatenate([start, np.cumsum(slope[:, :-1] * length - drop, axis=1)], axis=1)
    along = np.concatenate([[0.0], np.cumsum(length)])
    level = found[:, -1:] / along[-1]
    return found - level * along, slope - level
