"""One entity of ezdxf's as an item: its course as a chain, and what is odd about it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Final

from cutpath.inspect.contours import without_empty_arcs
from cutpath.inspect.values import Element, Space, Trait
from cutpath.outline import Chain, Point
from cutpath.outline import circle as circle_chain
from cutpath.tolerances import ARC_CHORD

if TYPE_CHECKING:
    from ezdxf.entities.dxfgfx import DXFGraphic

#: A finding's id for each kind of entity that is no plain line, arc, circle or polyline (DXF reference, ENTITIES).
ODD: Final[dict[str, str]] = {
    **dict.fromkeys(("SPLINE", "HELIX"), "spline"),
    "ELLIPSE": "ellipse",
    **dict.fromkeys(("TEXT", "MTEXT", "ATTRIB", "ATTDEF", "SHAPE", "TOLERANCE", "ARCALIGNEDTEXT", "RTEXT"), "text"),
    **dict.fromkeys(("DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER"), "text"),
    "ACAD_TABLE": "text",
    **dict.fromkeys(("HATCH", "MPOLYGON", "SOLID", "TRACE", "WIPEOUT"), "fill"),
    "INSERT": "block",
    **dict.fromkeys(("IMAGE", "OLEFRAME", "OLE2FRAME"), "image"),
    **dict.fromkeys(("UNDERLAY", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY"), "image"),
    **dict.fromkeys(("3DFACE", "3DSOLID", "BODY", "REGION", "MESH", "SURFACE", "EXTRUDEDSURFACE"), "solid"),
    **dict.fromkeys(("LOFTEDSURFACE", "REVOLVEDSURFACE", "SWEPTSURFACE", "PLANESURFACE", "NURBSURFACE"), "solid"),
    "POINT": "point",
    **dict.fromkeys(("RAY", "XLINE"), "endless"),
}
#: Windows onto the drawing, lights and the like: nothing that could be cut.
IGNORED: Final = frozenset(("VIEWPORT", "LIGHT", "SUN", "SECTION", "ACAD_PROXY_ENTITY", "SEQEND"))

#: A curve is flattened to this much of its size, if that is more than the chord of arcs: a wild one stays bounded.
_OF_SIZE: Final = 1e-5
#: Coordinates beyond 10,000 km, and arcs as much over a half circle, are no drawing's: such numbers overflow.
_MOST: Final = 1e10
FROM_BEHIND: Final = "so that it is seen from behind: what ignores that mirrors it"
#: Heights over the plane, and widths, that count as none, millimetres.
_FLAT: Final = 1e-6


def is_stored(entity: Any) -> bool:
    """Whether the library keeps an entity as it is written, as its kind is none that it knows."""
    return entity.dxftype() == "ACAD_PROXY_ENTITY" or hasattr(entity, "xtags")


def layer_of(entity: Any) -> str:
    """The layer that an entity says it lies on, of whatever kind (DXF reference, common group codes: 8)."""
    layer = vars(entity.dxf).get("layer")
    if layer is None and hasattr(entity, "xtags"):
        layer = next((tag.value for part in entity.xtags.subclasses for tag in part if tag.code == 8), None)
    return "0" if layer is None else str(layer)


def item_of(
    entity: DXFGraphic, handle: str, layer: str, space: Space, per: float, more: tuple[Trait, ...] = ()
) -> Element:
    """An entity as an item; whatever is in it, none is lost.

    Args:
        entity: of ezdxf, one that is no insert.
        handle: that it is told by.
        layer: that it lies on, of a block's layer "0" the insert's.
        space: it lies in.
        per: millimetres of one unit.
        more: what is known to be odd about it.
    """
    kind: str = entity.dxftype()
    held: dict[str, Any] = vars(entity.dxf)
    traits = list(more)
    if held.get("invisible"):
        traits.append(Trait("hidden-layer", "flagged invisible"))
    if held.get("thickness"):
        traits.append(Trait("not-flat", f"extruded by a thickness of {held['thickness']:g}"))
    whole, at, chain = True, None, None
    try:
        make = _CHAINS.get(kind)
        if make is not None:
            chain, whole = make(entity, held, per, traits)
        else:
            traits.append(Trait(ODD.get(kind, "unknown-kind"), kind))
            at = _place(held, per)
    except _NotFinite:
        traits.append(Trait("not-finite", with_article(kind)))
    except Exception as why:
        # A damaged entity may make the library raise anything; it is told, and the rest of the file goes on.
        traits.append(Trait("unreadable", f"{with_article(kind)} ({raised_words(why)})"))
    if chain is not None and not all(
        -_MOST <= x <= _MOST and -_MOST <= y <= _MOST and -_MOST <= bulge <= _MOST
        for (x, y), bulge in zip(chain.points, chain.bulges, strict=True)
    ):
        traits.append(Trait("not-finite", with_article(kind)))
        chain = None
    if chain is not None:
        at = chain.points[0]
        if any(chain.bulges):
            chain = without_empty_arcs(chain)
    return Element(handle, kind, layer, space, chain, at, tuple(traits), whole)


def with_article(kind: str) -> str:
    """A kind of entity as it stands in a sentence: "an ARC"."""
    return f"{'an' if kind[:1] in 'AEIO' else 'a'} {kind}"


def raised_words(why: Exception) -> str:
    """What the library raised at a damaged entity, in a line."""
    if isinstance(why, KeyError):
        return f"without its {str(why.args[0]).replace('_', ' ')}" if why.args else "KeyError"
    return " ".join(str(why).split())[:80] or type(why).__name__


class _NotFinite(Exception):
    """A number of an entity is none."""


def _finite(*numbers: float) -> None:
    if not all(-1e300 < number < 1e300 for number in numbers):
        raise _NotFinite


def _place(held: dict[str, Any], per: float) -> Point | None:
    for name in ("insert", "location", "start", "center", "defpoint", "vtx0"):
        at = held.get(name)
        if at is not None:
            _finite(at.x * per, at.y * per)
            return (at.x * per, at.y * per)
    return None


def _side(held: dict[str, Any], traits: list[Trait]) -> float:
    """1 where an entity's own plane is the drawing's, -1 where it is seen from behind; any other is a trait."""
    normal = held.get("extrusion")
    if normal is None:
        return 1.0
    _finite(*normal)
    size = math.hypot(*normal)
    if size == 0 or math.hypot(normal.x, normal.y) > 1e-9 * size:
        traits.append(Trait("tilted", f"along ({normal.x:g}, {normal.y:g}, {normal.z:g})"))
        return 1.0
    if normal.z < 0:
        traits.append(Trait("tilted", FROM_BEHIND))
        return -1.0
    return 1.0


def _height(traits: list[Trait], *zs: float) -> None:
    z = max(zs, key=abs)
    if abs(z) > _FLAT:
        traits.append(Trait("not-flat", f"at a height of {z:g}"))


_Made = tuple[Chain | None, bool]
_Make = Callable[[Any, dict[str, Any], float, list[Trait]], _Made]


def _line(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    a, b = held["start"], held["end"]
    _finite(a.x, a.y, a.z, b.x, b.y, b.z)
    if a.z or b.z:
        _height(traits, a.z, b.z)
    return Chain(((a.x * per, a.y * per), (b.x * per, b.y * per)), (0.0, 0.0), False), True


def _circle(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    c, r = held["center"], held["radius"]
    _finite(c.x, c.y, c.z, r)
    _height(traits, c.z)
    side = _side(held, traits)
    if r <= 0:
        traits.append(Trait("zero-length", "a circle without radius"))
        return None, True
    return circle_chain((side * c.x * per, c.y * per), r * per), True


def _arc(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    c, r = held["center"], held["radius"]
    first, last = held["start_angle"], held["end_angle"]
    _finite(c.x, c.y, c.z, r, first, last)
    _height(traits, c.z)
    side = _side(held, traits)
    if r <= 0:
        traits.append(Trait("zero-length", "an arc without radius"))
        return None, True
    sweep = (last - first) % 360.0
    if sweep == 0.0:
        return circle_chain((side * c.x * per, c.y * per), r * per), True
    # A bulge grows without end towards a full circle, so a long arc is two.
    count = 2 if sweep > 180.0 else 1
    points = []
    for k in range(count + 1):
        angle = math.radians(first + sweep * k / count)
        points.append((side * (c.x + r * math.cos(angle)) * per, (c.y + r * math.sin(angle)) * per))
    bulge = side * math.tan(math.radians(sweep / count) / 4)
    return Chain(tuple(points), (*[bulge] * count, 0.0), False), True


def _lwpolyline(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    rows = entity.lwpoints.values.tolist()
    return _polyline(rows, bool(held.get("flags", 0) & 1), held, per, traits, held.get("elevation", 0.0),
                     held.get("const_width", 0.0))  # fmt: skip


def _old_polyline(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    flags = held.get("flags", 0)
    if flags & (16 | 64):
        traits.append(Trait("solid", "a mesh"))
        return None, True
    if flags & (2 | 4):
        traits.append(Trait("spline", "a polyline fitted to a curve"))
    vertices = [vars(v.dxf) for v in entity.vertices]
    # Vertices of the frame that a curve was fitted to are no points of it (DXF reference, VERTEX, flag 16).
    vertices = [v for v in vertices if not v.get("flags", 0) & 16]
    zs = [v["location"].z for v in vertices if "location" in v]
    elevation = held.get("elevation")
    width = max(held.get("default_start_width", 0.0), held.get("default_end_width", 0.0))
    rows = [
        (v["location"].x, v["location"].y, v.get("start_width", 0.0), v.get("end_width", 0.0), v.get("bulge", 0.0))
        for v in vertices
    ]
    _finite(*zs)
    height = max((*zs, getattr(elevation, "z", 0.0)), key=abs)
    return _polyline(rows, bool(flags & 1), held, per, traits, height, width)


def _polyline(
    rows: Sequence[Sequence[float]], closed: bool, held: dict[str, Any], per: float, traits: list[Trait],
    height: float, width: float,
) -> _Made:  # fmt: skip
    if not rows:
        traits.append(Trait("zero-length", "a polyline without points"))
        return None, True
    for row in rows:
        _finite(*row)
    _finite(height)
    _height(traits, height)
    side = _side(held, traits)
    if width or any(row[2] or row[3] for row in rows):
        traits.append(Trait("wide-line"))
    scale = side * per
    points = tuple((scale * row[0], per * row[1]) for row in rows)
    bulges = [side * row[4] + 0.0 for row in rows]
    if len(points) == 1:
        traits.append(Trait("zero-length", "a polyline of one point"))
        return None, True
    if not closed:
        bulges[-1] = 0.0
        if len(points) > 2 and points[0] == points[-1]:
            # Closed by its points, though not by its flag: machines take it for closed.
            return Chain(points[:-1], tuple(bulges[:-1]), True), True
    return Chain(points, tuple(bulges), closed), True


def _curve(entity: Any, held: dict[str, Any], per: float, traits: list[Trait]) -> _Made:
    kind = entity.dxftype()
    traits.append(Trait(ODD[kind]))
    if kind == "ELLIPSE":
        centre, axis = held["center"], held["major_axis"]
        _finite(*centre, *axis, held.get("ratio", 1.0), held.get("start_param", 0.0), held.get("end_param", 0.0))
        size = math.hypot(*axis)
    else:
        ends = [*entity.control_points, *entity.fit_points]
        for end in ends:
            _finite(*end)
        _finite(*entity.knots, *entity.weights)
        if not ends:
            traits.append(Trait("zero-length", "a spline without points"))
            return None, False
        size = max(max(p[i] for p in ends) - min(p[i] for p in ends) for i in (0, 1))
    course = list(entity.flattening(max(ARC_CHORD / per, _OF_SIZE * size)))
    for p in course:
        _finite(*p)
    if not course:
        traits.append(Trait("zero-length", with_article(kind)))
        return None, False
    _height(traits, *(p.z for p in course))
    points = [(p.x * per, p.y * per) for p in course]
    closed = math.dist(points[0], points[-1]) <= ARC_CHORD
    if closed:
        points.pop()
    return Chain(tuple(points), (0.0,) * len(points), closed), False


_CHAINS: Final[dict[str, _Make]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _old_polyline,
    "ELLIPSE": _curve,
    "SPLINE": _curve,
    "HELIX": _curve,
}
