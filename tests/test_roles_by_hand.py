"""What layers are taken for, by their names, by what lies on them and by what was asked."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, LayerSeen, Seen
from cutpath.job.values import Layers

OURS = Layers()
EVERY = "every layer that is none of the others is cut"


def taken(
    *lies: tuple[str, str], given: Sequence[str] = (), of_job: bool = False, names: Layers = OURS,
    frozen: Sequence[str] = (), off: Sequence[str] = (), empty: Sequence[str] = (),
) -> dict[str, tuple[str, str]]:  # fmt: skip
    """Role and reason of each layer, of entities given by their kind and layer."""
    items = tuple(Element(str(k), kind, layer, "model", None, None) for k, (kind, layer) in enumerate(lies))
    layers = dict.fromkeys((*(layer for _, layer in lies), *empty))
    seen = Seen(
        "x.dxf",
        "R2000",
        items=items,
        layers=tuple(LayerSeen(name, frozen=name in frozen, off=name in off) for name in layers),
        unit="mm",
        per_unit=1.0,
        guessed=False,
        metric=True,
        texts=(),
    )
    found = roles_of(seen, names, given, of_job=of_job)
    assert [r.name for r in found] == [name for name in layers if name not in empty], "in the file's order"
    for each in found:
        assert each.count == sum(layer == each.name for _, layer in lies)
    return {each.name: (each.role, each.why) for each in found}


def test_the_names_that_files_of_ours_carry() -> None:
    names = ("PART", "CUT", "DRILL", "POCKET", "MARK", "TAB", "LEAD", "STOCK", "NOTE")
    roles = ("cut", "cut", "cut", "mark", "mark", "mark", "mark", "stock", "note")
    for of_job, why in ((False, "its name"), (True, "the job's name for it")):
        lies = [("LINE", name) for name in names]
        wanted = {name: (role, why) for name, role in zip(names, roles, strict=True)}
        assert taken(*lies, of_job=of_job) == wanted
        small = {name.lower(): each for name, each in wanted.items()}
        assert taken(*((kind, name.lower()) for kind, name in lies), of_job=of_job) == small


def test_a_job_s_own_names_stand_for_ours() -> None:
    names = Layers(part="Teil", cut="Fräsen", drill="Bohren", pocket="Tasche", mark="Schrift", stock="Brett",
                   note="Zeichnung", tab="Steg", lead="Anlauf")  # fmt: skip
    lies = [("ARC", name) for name in ("TEIL", "FRÄSEN", "bohren", "tasche", "schrift", "brett", "zeichnung", "steg")]
    found = taken(*lies, ("ARC", "anlauf"), names=names, of_job=True)
    roles = ("cut", "cut", "cut", "mark", "mark", "stock", "note", "mark", "mark")
    assert found == {name: (r, "the job's name for it") for name, r in zip(found, roles, strict=True)}
    # What goes by our names then goes by what is usual: "DRILL" says nothing.
    assert taken(("ARC", "DRILL"), names=names) == {"DRILL": ("cut", EVERY)}


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("DIMS", "note"), ("my notes", "note"), ("A-ANNO-2", "note"), ("text_3mm", "note"), ("Defpoints", "note"),
        ("Center", "note"), ("Sheet 1", "stock"), ("stock.outer", "stock"), ("BLANK2", "stock"), ("engrave", "mark"),
        ("pen1", "mark"), ("V-SCORE", "mark"), ("textile", None), ("0", None), ("outline", None), ("pencil", None),
        ("sheets", None), ("Ränder", None), ("remarks", None), ("midtext", None), ("dimç", None),
    ],
)  # fmt: skip
def test_usual_names_are_whole_words(name: str, role: str | None) -> None:
    assert taken(("LINE", name)) == {name: (role, "its name") if role else ("cut", EVERY)}


def test_of_two_usual_words_the_note_counts_first_and_the_mark_last() -> None:
    found = taken(("LINE", "stock dimensions"), ("LINE", "engrave sheet"), ("LINE", "mark text"))
    assert [role for role, _ in found.values()] == ["note", "stock", "note"]


@pytest.mark.parametrize("kind", ["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SPLINE", "ELLIPSE", "HELIX"])
def test_what_is_drawn_is_cut_and_what_is_only_written_is_not(kind: str) -> None:
    assert taken((kind, "A"), ("TEXT", "A"), ("TEXT", "B"), ("POINT", "B")) == {
        "A": ("cut", EVERY),
        "B": ("note", "no lines on it"),
    }


def test_layers_of_which_the_table_alone_knows_are_left_out() -> None:
    assert taken(("LINE", "A"), empty=("CUT", "B", "Notes")) == {"A": ("cut", EVERY)}


@pytest.mark.parametrize("own", ["PART", "CUT", "part"])
@pytest.mark.parametrize("of_job", [False, True])
def test_beside_layers_of_ours_no_other_is_cut(own: str, of_job: bool) -> None:
    """A note is one; what else has lines is left, and what has none is a note."""
    found = taken(("LINE", own), ("LINE", "outline"), ("LINE", "engrave"), ("LINE", "dims"), ("MTEXT", "job"),
                  of_job=of_job)  # fmt: skip
    why = "no layer of the job's" if of_job else "no layer of cutpath's"
    ours = "the job's name for it" if of_job else "its name"
    assert found == {
        own: ("cut", ours),
        "outline": ("off", why),
        "engrave": ("off", why),
        "dims": ("note", "its name"),
        "job": ("note", "no lines on it"),
    }


def test_a_layer_of_ours_that_carries_no_lines_or_no_outline_decides_nothing() -> None:
    assert taken(("TEXT", "CUT"), ("LINE", "A"))["A"] == ("cut", EVERY)
    assert taken(("LINE", "DRILL"), ("LINE", "A"))["A"] == ("cut", EVERY)
    assert taken(("LINE", "A"), empty=("PART",))["A"] == ("cut", EVERY)


def test_layers_that_are_not_shown_are_not_cut_unless_a_name_says_so() -> None:
    lies = [("LINE", name) for name in ("A", "B", "C", "engrave")]
    found = taken(*lies, frozen=("A", "engrave"), off=("B",))
    hidden = ("hidden", "frozen or off")
    assert found == {"A": hidden, "B": hidden, "C": ("cut", EVERY), "engrave": ("mark", "its name")}
    assert taken(("LINE", "CUT"), frozen=("CUT",), off=("CUT",)) == {"CUT": ("cut", "its name")}
    assert taken(("LINE", "A"), frozen=("A",), off=("A",)) == {"A": hidden}
    assert taken(("LINE", "A"), frozen=("A",), given=("A",)) == {"A": ("cut", "--cut-layer")}


@pytest.mark.parametrize("of_job", [False, True])
def test_where_layers_are_given_no_other_is_cut(of_job: bool) -> None:
    """Ours that aren't cut, and usual names, keep what they are."""
    found = taken(*(("LINE", name) for name in ("Foo", "PART", "other", "POCKET", "STOCK", "sheet", "pen", "dims")),
                  ("TEXT", "said"), given=("fOO", "dims"), of_job=of_job)  # fmt: skip
    off = ("off", "not among --cut-layer")
    assert found == {
        "Foo": ("cut", "--cut-layer"),
        "PART": off,
        "other": off,
        "POCKET": ("mark", "its name"),
        "STOCK": ("stock", "its name"),
        "sheet": ("stock", "its name"),
        "pen": ("mark", "its name"),
        "dims": ("cut", "--cut-layer"),
        "said": off,
    }
