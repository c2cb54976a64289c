"""The packets of jobs that share boards: one for the shop, and one for each site with its own stair and nothing else.

The shop's holds each job's stringer and checks, and once what all share: cut list, boards, files, what the shop needs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec import Struct

from cutpath.cut.relief_kinds import RELIEF_KINDS
from cutpath.json_text import Json
from cutpath.packet.cover import DECIDES, checks_table, cover, part_facts, verdict, verdict_of
from cutpath.packet.html import Lengths, Markup, facts, joined, listed, name, number, paragraph, table, text
from cutpath.packet.page import PACKET_FILE, Page, document
from cutpath.packet.pages import boards, cautions, cut_list, drawings, file_list
from cutpath.packet.points import board_measures, measured_points, stringer_measures
from cutpath.packet.rest import rest_page
from cutpath.packet.saw import own_pieces, saw_page, to_buy_list
from cutpath.packet.shop import shop_page
from cutpath.packet.site import site_page
from cutpath.packet.source import Source, board_keys
from cutpath.packet.strength import strength_page
from cutpath.plan.values import Plan
from cutpath.rules.told import over


class JobPages(Struct, frozen=True):
    """One of the jobs as its pages are written from it.

    Attributes:
        source: its plan, what `result.json` says of it, and its drawings.
        folder: of what goes to its site, relative to the export's.
        boards: the numbers of the boards that its parts lie on, from 1.
    """

    source: Source
    folder: str
    boards: tuple[int, ...]

    @property
    def name(self) -> str:
        """What the job is called, told apart from the others."""
        return self.source.plan.job.name

    @property
    def packet(self) -> str:
        """Its site's packet, relative to the export's folder."""
        return f"{self.folder}/{PACKET_FILE}"


def job_pages(plan: Plan, result: Json, files: Mapping[str, bytes], pictures: str, folder: str) -> JobPages:
    """A job's pages.

    Args:
        plan: of this job.
        result: its part of `result.json`.
        files: bytes by path.
        pictures: the folder of its drawings.
        folder: of what goes to its site.
    """
    own = {parts.name for parts in plan.design.every}
    on = tuple(i for i, board in enumerate(plan.layout.boards, 1) if any(p.name in own for p in board.parts))
    return JobPages(Source(plan, result, files, Lengths(plan.job.units), pictures), folder, on)


def site_packet(job: JobPages, cautions_whole: Sequence[str]) -> str:
    """The packet of one job's site: the stair and its checks, drawings, what the site needs."""
    source, plan = job.source, job.source.plan
    words = joined([_numbers(job.boards), f" of {len(plan.layout.boards)}, cut together with other jobs"])
    return document(
        "Site packet",
        plan.job.name,
        [
            Page("overview", "The job and its checks", cover(source, words)),
            Page("drawings", "Drawings", drawings(source)),
            Page("strength", "Strength", strength_page(source)),
            *([Page("pieces", "Pieces", own_pieces(source))] if source.result.get("pieces") else []),
            Page("site", "For the site", site_page(source)),
            *([Page("rest", "Treads, risers, rail", rest_page(source))] if plan.design.pieces is not None else []),
            Page("cautions", "Cautions", listed(cautions_whole)),
        ],
        [check["id"] for check in source.failing],
        measured_points(plan, ()),
    )


def shop_packet(whole: Plan, result: Mapping[str, Any], files: Mapping[str, bytes], jobs: Sequence[JobPages]) -> str:
    """The shop's packet.

    Args:
        whole: the layout with the parts of all jobs.
        result: what `result.json` holds, the packet itself not yet among its files.
        files: the bytes of those files by path.
        jobs: in their order.
    """
    source = Source(whole, dict(result), files, Lengths(whole.job.units))
    keyed = {f"job-{i}": job for i, job in enumerate(jobs, 1)}
    measures = {f"{key}-stringer": stringer_measures(job.source.plan) for key, job in keyed.items()}
    return document(
        "Shop packet",
        whole.job.name,
        [
            Page("overview", "The jobs and their checks", _jobs_cover(source, keyed)),
            *(Page(key, f"{job.name}: stringer and checks", _stringer(key, job)) for key, job in keyed.items()),
            Page("cut-list", "Cut list", cut_list(source)),
            Page("boards", "Board layouts", boards(source)),
            *([Page("saw", "For the saw", saw_page(source))] if whole.lumber else []),
            Page("shop", "For the shop", shop_page(source)),
            Page("files", "Files", file_list(source, "Files of these jobs")),
            Page("cautions", "Cautions", cautions(source)),
        ],
        _failing(jobs),
        measures | board_measures(whole, board_keys(source.result)),
    )


def _failing(jobs: Iterable[JobPages]) -> list[str]:
    return [f"{check['id']} ({job.name})" for job in jobs for check in job.source.failing]


def _over_advice(jobs: Iterable[JobPages]) -> list[str]:
    checks = [(job.name, check) for job in jobs for check in over(job.source.plan.design.checks)]
    return [f"{check.id} ({name})" for name, check in checks if not check.required]


def _numbers(found: Sequence[int]) -> Markup:
    return joined([number(n) for n in found], ", ")


def _parts(result: Json) -> list[Json]:
    """A job's parts, the small ones too."""
    return [*result["stringer"]["parts"], *result.get("small_parts", [])]


def _jobs_cover(source: Source, jobs: Mapping[str, JobPages]) -> Markup:
    """All jobs at a glance, and where each one's own pages are."""
    required = sum(check["required"] for job in jobs.values() for check in job.source.result["checks"])
    rows = []
    word = source.plan.job.stock_word
    for key, job in jobs.items():
        result, failing = job.source.result, job.source.failing
        show = job.source.lengths.show
        ids = ", ".join(check["id"] for check in failing)
        outcomes = [check.outcome for check in job.source.plan.design.checks]
        told = ("over advice", "needed", "not judged")
        besides = [f"; {outcomes.count(each)} {each}" for each in told if each in outcomes]
        outcome = Markup(f"<strong>{text(ids)} FAILS</strong>") if failing else text("all hold")
        stair = result["stair"]
        rows.append(
            (
                Markup(f'<a href="#{key}">{name(job.name)}</a>'),
                joined([outcome, *besides]),
                number(sum(part["count"] - part.get("left_out", 0) for part in _parts(result))),
                joined([number(stair["risers"]), " of ", show(stair["unit_rise"])]),
                show(result["stringer"]["throat"], "no inside notch"),
                _numbers(job.boards),
                Markup(f'<a href="{job.packet}"><code>{job.packet}</code></a>'),
            )
        )
    pairs = [
        ("Jobs", number(len(jobs))),
        ("Parts", joined([number(sum(len(board["parts"]) for board in source.result["nest"]["boards"])), " to cut"])),
        (f"{word.capitalize()}s", joined([number(len(source.result["nest"]["boards"])), " to cut from"])),
        ("Unit of every cut file", text(source.lengths.name)),
    ]
    return joined(
        [
            verdict_of(required, _failing(jobs.values()), _over_advice(jobs.values())),
            paragraph(DECIDES),
            facts(pairs),
            table(
                f"Jobs that share these {word}s",
                ("job", "required checks", "parts", "risers", "least throat", f"on {word}s", "for the site"),
                rows,
                wide=True,
                words=frozenset({0, 1, 3, 4, 5, 6}),
            ),
            *([to_buy_list(source)] if source.plan.lumber else []),
            paragraph("Each site's packet holds its own stair, set-out and tape sheet, and nothing of the other jobs."),
        ]
    )


def _stringer(key: str, job: JobPages) -> Markup:
    """What the shop needs of one job: its parts, its checks, the stringer and its corners."""
    source, stringer = job.source, job.source.result["stringer"]
    show = source.lengths.show
    pairs = [
        *part_facts(source),
        (f"Length on the {source.plan.job.stock_word}", show(stringer["length"])),
        ("Throat, least", show(stringer["throat"], "no inside notch")),
        ("Inside corners", text(RELIEF_KINDS[source.plan.design.part.relief].words)),
        (f"On {source.plan.job.stock_word}s", _numbers(job.boards)),
    ]
    return joined(
        [
            verdict(source),
            facts(pairs),
            checks_table(source, job.name),
            drawings(source, ("stringer", "corners", "pitch-gauge"), f"{key}-"),
        ]
    )
