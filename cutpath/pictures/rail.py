"""The rail in elevation on its stair, dimensioned so that it is set up from it. Stair frame: x out, y up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import leaders, running, vertical
from cutpath.pictures.elevation import floor_and_header, stringer_and_boards
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.pages import on_a_page
from cutpath.pictures.scene import LEFT, Scene
from cutpath.pictures.standing import draw_rail, inside_stringers, outlines
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.pieces.rail import at
from cutpath.pieces.values import Bay, Pieces, Rail, RailPost
from cutpath.pieces.words import in_runs
from cutpath.plan.values import Plan
from cutpath.units import many

#: Room right of the stair for one dimension, and the most that the drawing takes upward.
_RIGHT: Final = 70.0
_TALL: Final = 640.0
#: How far floor and header are shown inward, at most, millimetres.
_STUB: Final = 250.0


def rail_svg(plan: Plan, pieces: Pieces, rail: Rail) -> str:
    """The rail on its stair.

    Args:
        plan: the whole job.
        pieces: its other pieces.
        rail: the rail among them.

    Returns:
        An SVG document.
    """
    unit = plan.job.units
    description = (
        f"A rail {size_text(rail.height, unit)} over the line of the nosings on {many(len(rail.posts), 'post')} a "
        f"side, with {sum(len(bay.balusters) for bay in rail.bays)} balusters a side, "
        f"{size_text(rail.opening, unit)} clear between them at most."
    )
    return rail_canvas(plan, pieces, rail).svg(f"{plan.job.name}: rail in elevation", description)


def rail_canvas(plan: Plan, pieces: Pieces, rail: Rail) -> Canvas:
    """The canvas of `rail_svg`."""
    return on_a_page(lambda share: _canvas(plan, pieces, rail, share))


def _canvas(plan: Plan, pieces: Pieces, rail: Rail, share: float) -> Canvas:
    scene = _scene(plan, rail, share)
    canvas = Canvas()
    _ground(canvas, scene)
    hidden = inside_stringers(pieces)
    if hidden:
        draw_rail(canvas, scene.view, pieces, "work", "#fff")
    stringer_and_boards(canvas, scene)
    if hidden:
        for outline in outlines(pieces, "post"):
            canvas.chain(scene.view, outline, "tool")
    else:
        draw_rail(canvas, scene.view, pieces, "work", "#fff")
    floor_and_header(canvas, scene)
    canvas.polyline([scene.view(p) for p in rail.nosings], "centre")
    _height(canvas, scene, rail)
    notes = [*_places(canvas, scene, rail), *_notes(scene, rail)]
    _callouts(canvas, scene, rail)
    add_notes(canvas, notes)
    key: list[tuple[Line, str]] = [("cut", "stringer as cut"), ("centre", "line of the nosings")]
    if hidden:
        key.append(("tool", "behind the stringer"))
    add_key(canvas, key)
    posts = many(len(rail.posts), "post")
    if len(rail.sides) == 2:
        sides = f"both sides alike, {posts} on each"
    else:
        sides = f"on the {rail.sides[0]} going up, {posts}"
    add_title(canvas, plan, f"Rail in elevation: {sides}", scene.view.scale)
    return canvas


def _scene(plan: Plan, rail: Rail, share: float) -> Scene:
    stair = plan.stair
    right = max(stair.foot_out, rail.top[1][0], rail.posts[-1].front) + 0.04 * stair.foot_out
    left = min(-min(_STUB, 0.25 * right), rail.top[0][0] - 30.0)
    high = max(rail.top[0][1], 0.0)
    low = min(-stair.total_rise, *(post.bottom for post in rail.posts))
    scale = min((WIDTH - LEFT - _RIGHT - EDGE) / (right - left), share * _TALL / (high - low))
    return Scene(plan, stair, (), right, right, View(scale, LEFT - scale * left, 0.0))


def _ground(canvas: Canvas, scene: Scene) -> None:
    """The landing's level, with strokes under it."""
    y = -scene.stair.total_rise
    (x0, level), (x1, _) = scene.view((0.0, y)), scene.view((scene.right, y))
    canvas.polyline([(x0, level), (x1, level)], "work")
    count = int((x1 - x0) // 40)
    canvas.strokes([(x0 + 40 * k + 20, level, x0 + 40 * k + 12, level + 8) for k in range(count)], "hatch")


def _height(canvas: Canvas, scene: Scene, rail: Rail) -> None:
    """The rail's height, plumb over the nosings, at its lower end."""
    (x, top), (_, low) = scene.view(rail.top[1]), scene.view(rail.nosings[1])
    beside = x + 46
    words = f"{scene.size(rail.height)} over the nosings"
    canvas.add(vertical(top, low, beside, words, x + 4, x + 4, "up"))


def _places(canvas: Canvas, scene: Scene, rail: Rail) -> list[str]:
    """How far out posts and the rail's ends are, running from the header face. Gives a note where that has no room."""
    found = [(post.back, f"post, tread {post.tread}: {scene.size(post.back)}") for post in rail.posts]
    for (x, _), post_end in zip(rail.top, (rail.posts[0].back, rail.posts[-1].front), strict=True):
        if abs(x - post_end) > 1e-6:
            found.append((x, f"rail's end: {scene.size(x)}"))
    found.sort()
    told = "out from the header face, to a post's face nearest to it"
    if found[0][0] <= 0:
        return [f"{', '.join(words for _, words in found).capitalize()}: {told}."]
    points = [(scene.view(at(rail.top, x))[0], scene.view(at(rail.top, x))[1] - 5) for x, _ in found]
    origin, floor = scene.view((0.0, 0.0))
    y = min(canvas.top, min(p[1] for p in points)) - 34
    canvas.add(running(origin, points, y, [words for _, words in found], EDGE + TEXT, WIDTH - EDGE))
    canvas.add(Marks(((origin, floor - 4, origin, y),)))
    return [f"Above: {told}."]


def _callouts(canvas: Canvas, scene: Scene, rail: Rail) -> None:
    """Lengths on the posts, gap and clearance pointed at; the notes have all of them too."""
    size, view = scene.size, scene.view
    for post in rail.posts:
        canvas.first_with_room(_on_post(scene, post, f"post {size(post.length)}"))
    wide = max(range(len(rail.bays)), key=lambda i: rail.bays[i].gap)
    canvas.first_with_room(_at_gaps(scene, rail, rail.bays[wide], f"gaps {size(rail.bays[wide].gap)}"))
    bay = rail.bays[-1]
    x = (bay.clear[0] + bay.clear[1]) / 2
    low = at(rail.bottom_under, x)[1]
    words = f"bottom rail {size(low - at(rail.nosings, x)[1])} over the nosings"
    y = (low + at(rail.bottom, x)[1]) / 2
    canvas.first_with_room(leaders(view((x, y)), words, "dot", "down", sides=("right",)))


def _on_post(scene: Scene, post: RailPost, words: str) -> Iterator[Marks]:
    """Turned on the post's own face, or beside it."""
    x, y0 = scene.view(((post.back + post.front) / 2, post.bottom))
    y1 = scene.view((post.front, post.top_front))[1]
    for share in (0.6, 0.5, 0.7, 0.4, 0.8):
        yield Marks(texts=(TextLine(x + 0.28 * TEXT, y0 + share * (y1 - y0), words, "middle", True),))
    yield from leaders((x, y0 + 0.6 * (y1 - y0)), words, "dot", "up")


def _at_gaps(scene: Scene, rail: Rail, bay: Bay, words: str) -> Iterator[Marks]:
    wide = scene.plan.job.rail.baluster.width if scene.plan.job.rail else 0.0
    starts = [bay.clear[0], *(x + wide for x in bay.balusters)]
    for x in sorted(starts, key=lambda x: abs(x - starts[len(starts) // 2])):
        middle = x + bay.gap / 2
        y = at(rail.top_under, middle)[1]
        spot = scene.view((middle, y - 0.3 * rail.baluster_plumb))
        yield from leaders(spot, words, "dot", "up")


def _notes(scene: Scene, rail: Rail) -> list[str]:
    """Everything to set it up by, in words."""
    size, stair = scene.size, scene.stair
    treads = scene.plan.design.built.treads
    found = [
        f"Rails {math.degrees(stair.pitch):.1f}° from level. "
        f"Height over the nosings {scene.size(rail.height)}: {rail.height_from}.",
    ]
    alike: dict[tuple[float, float, float], list[RailPost]] = {}
    for post in rail.posts:
        below = treads[post.tread - 1][1] - post.bottom
        key = (round(post.length, 3), round(post.top_front - post.bottom, 3), round(below, 3))
        alike.setdefault(key, []).append(post)
    for (long, short, below), posts in alike.items():
        where = in_runs([post.tread for post in posts], "tread")
        found.append(
            f"Posts, {where}: long point {size(long)}, short point {size(short)}; {size(below)} below its tread's top."
        )
    x = rail.bottom_under[0][0]
    clear = rail.bottom_under[0][1] - at(rail.nosings, x)[1]
    first = rail.posts[0]
    back = treads[first.tread - 1][0] - first.front
    found.append(f"Each post's front is {size(back)} back from its tread's nosing.")
    if rail.joints:
        over = in_runs([post.tread for post in rail.joints], "tread")
        found.append(f"Top rail spliced over the middle of the post at {over}, the joint plumb.")
    found.append(
        f"Between balusters at most {size(rail.opening)} clear, allowed {size(rail.opening_most)} "
        f"({rail.opening_from})."
    )
    found.append(
        f"Under the bottom rail, {size(clear)} over the nosings, a sphere of {size(rail.triangle)} passes, "
        f"{'between it, tread and riser' if rail.triangular else 'over the stringer'}."
    )
    for short_of, where in ((rail.short_of_top, "uppermost riser"), (rail.short_of_foot, "lowest riser")):
        if short_of > 1e-6:
            found.append(f"The rail ends {size(short_of)} short, level, of the nosing of the {where}.")
    return found
