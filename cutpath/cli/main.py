"""The command line: arguments, exit status, printing. Everything else is the library's.

All commands stand in one file, though a long one: their order is the help's, and their options read alike.
"""

from __future__ import annotations

import json
import os
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from cutpath.cli.output import (
    begin,
    changed,
    note_changed,
    note_not_printed,
    put,
    put_aside,
    put_json,
    put_square,
    say,
    status_after,
)
from cutpath.cli.steps import (
    DONE,
    NOT_PRINTED,
    OUR_FAULT,
    STOPPED,
    WRONG_INPUT,
    ask_of_landing,
    gathered,
    planned,
    planned_or_missing,
    print_json,
    read,
    read_rack,
    status_of,
)

if TYPE_CHECKING:
    from cutpath.pattern.tiles import Paper
    from cutpath.plan.gather import Failed

_JOB = click.argument("job", type=click.Path(path_type=Path))
_JOBS = click.argument("job", type=click.Path(path_type=Path), nargs=-1, required=True, metavar="JOB...")
_STOCK = click.option("--stock", type=click.Path(path_type=Path), help="Stock file: boards, offcuts, prices.")
_SEARCH = click.option(
    "--search",
    type=click.FloatRange(0, 3600),
    default=0.0,
    metavar="SECONDS",
    help="Search this long for fewer or cheaper sheets; Ctrl-C keeps the best so far.",
)
_GO_ON = click.option("--go-on", is_flag=True, help="Of several jobs, leave out those that fail.")
_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for machines.")


class _InOrderOfUse(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order in which a job goes through them, not by the alphabet."""
        return list(self.commands)


@click.group(cls=_InOrderOfUse, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="cutpath")
def main() -> None:
    """From tape readings to stair stringers that fit, cut by a machine.

    \b
    Start here:
      cutpath serve stair.toml           fill a job in on a page, see its stair
      cutpath init stair.toml            write a commented job to fill in
      cutpath solve stair.toml           see which riser counts land well
      cutpath check stair.toml           see what wood is left, and the rules
      cutpath nest stair.toml            see what goes on which board
      cutpath export stair.toml -o out   write cut files, drawings, a packet
      cutpath inspect sent.dxf           see what is wrong with a cut file

    Each command says more with --help. Exit status: 0 done, and every required check holds; 1 done, and one fails; 2
    the input or the call is wrong; 70 a fault of the program; 74 standard output can't be written; 130 stopped.

    Nothing here approves a stair: the local code and a licensed professional decide.
    """


@main.command(short_help="Write a commented starter job.")
@click.argument("file", type=click.Path(path_type=Path), default=Path("job.toml"))
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="What bare numbers in the job mean.")
def init(file: Path, units: str) -> None:
    """Write a commented starter job to FILE (default: job.toml).

    \b
    Examples:
      cutpath init
      cutpath init porch.toml --units mm
    """
    _write_starter(file, units)
    put(f"wrote {file}; fill in your readings, then: cutpath solve {file}")


def _write_starter(file: Path, units: str) -> None:
    from cutpath.disk import put_new
    from cutpath.faults import OutputRefused
    from cutpath.job.starter import starter

    try:
        put_new(file, starter("mm" if units == "mm" else "in").encode())
    except FileExistsError:
        raise OutputRefused(f"{file}: is there already and was left as it is; give another name") from None
    except OSError as error:
        raise OutputRefused(f"{file}: can't be written ({error.strerror}); give another name") from None
    note_changed(f"{file} is written")


@main.command(short_help="Print which riser counts land well.")
@_JOB
@_JSON
def solve(job: Path, as_json: bool) -> None:
    """Print the stairs that would fit, one row per riser count, and which one is chosen.

    \b
    Example:
      cutpath solve porch.toml
    """
    from cutpath.plan.solved import solved

    found = solved(read(job).job)
    if as_json:
        from cutpath.tables.answers import solve_data

        print_json(solve_data(found))
    else:
        from cutpath.report.solve import solve_text

        put(solve_text(found))
    if found.choice is not None:
        from cutpath.rules.load import load_rules

        ask_of_landing(found.job, load_rules(found.job.stair.rules), found.choice)
    if found.none_fits is not None:
        # The rows are what shows a person why, so they are printed before the fault ends the command.
        raise found.none_fits


@main.command(short_help="Print throat, seat, rules and strength.")
@_JOB
@_JSON
@click.pass_context
def check(context: click.Context, job: Path, as_json: bool) -> None:
    """Print throat, seat, rules and strength.

    Ends with status 1 where a required check fails, and says what would mend a thin throat. Where the boards in stock
    don't do, it prints all this first, then what is missing, and ends with 2.

    \b
    Example:
      cutpath check porch.toml
    """
    plan, missing = planned_or_missing(read(job).job)
    if as_json:
        from cutpath.tables.answers import check_data

        print_json(check_data(plan))
    else:
        from cutpath.plan.mends import mends_of
        from cutpath.report.check import check_text

        put(check_text(plan, mends_of(plan)))
    if missing is not None:
        raise missing
    context.exit(status_of(plan))


@main.command(short_help="Print the set-out of the ground, and the tape sheet.")
@_JOB
@_JSON
@click.pass_context
def site(context: click.Context, job: Path, as_json: bool) -> None:
    """Print the set-out of the ground and the header, and the tape sheet of a stringer.

    The same stands in the packet, in tables. Ends with status 1 where a required check fails, and with 2 where the
    boards in stock don't do.

    \b
    Example:
      cutpath site porch.toml
    """
    plan, missing = planned_or_missing(read(job).job)
    if as_json:
        from cutpath.tables.answers import site_data

        print_json(site_data(plan))
    else:
        from cutpath.tables.site_text import setout_text, tape_text

        put(f"{setout_text(plan)}\n\n{tape_text(plan)}")
    if missing is not None:
        raise missing
    context.exit(status_of(plan))


@main.command(short_help="Print what goes on which board, and what to buy.")
@_JOBS
@_STOCK
@_GO_ON
@_SEARCH
@_JSON
@click.pass_context
def nest(
    context: click.Context, job: tuple[Path, ...], stock: Path | None, go_on: bool, search: float, as_json: bool
) -> None:
    """Print what goes on which board, and what to buy.

    Parts of several jobs share boards; a job that fails stops all, or with --go-on is named and left out.

    \b
    Examples:
      cutpath nest porch.toml
      cutpath nest porch.toml deck.toml --stock rack.toml
    """
    from cutpath.plan.laid import verify
    from cutpath.plan.stock import with_stock

    rack = read_rack(stock)
    left_out: tuple[Failed, ...] = ()
    if len(job) > 1:
        found = gathered(job, lambda names: rack, search, go_on=go_on)
        plan, left_out = found.together.whole, found.left_out
    else:
        alone, keep = with_stock(read(job[0]), rack)
        plan = planned(alone.job, keep, search)
    verify(plan)
    if as_json:
        from cutpath.tables.answers import nest_data

        print_json(nest_data(plan))
    else:
        from cutpath.report.nest import nest_text
        from cutpath.screen import fit

        put(fit([nest_text(plan, named=len(job) > 1)]))
    context.exit(status_of(plan, left_out))


@main.command(short_help="Write cut files, drawings and lists to a folder.")
@_JOBS
@click.option("-o", "--out", type=click.Path(path_type=Path), required=True, help="Folder to write into.")
@_STOCK
@click.option(
    "--update-stock",
    is_flag=True,
    help="With --stock: take the boards used off the file and put offcuts on it, once all is written.",
)
@_SEARCH
@click.option(
    "--pattern",
    type=click.Choice(["roll", "a4", "letter", "a3", "tabloid"]),
    default="roll",
    show_default=True,
    help="Paper of the full-size pattern: one roll page a part, or pages to tape together.",
)
@_GO_ON
@click.option("--despite-checks", is_flag=True, help="Write cut files though a required check fails.")
@click.option("--force", is_flag=True, help="Write beside files that cutpath did not write; they stay untouched.")
@click.option("--open", "open_packet", is_flag=True, help="Show the packet in the browser when done.")
@_JSON
@click.pass_context
def export(
    context: click.Context,
    job: tuple[Path, ...],
    out: Path,
    force: bool,
    despite_checks: bool,
    pattern: Paper,
    open_packet: bool,
    stock: Path | None,
    update_stock: bool,
    go_on: bool,
    search: float,
    as_json: bool,
) -> None:
    """Write cut files, cut list, drawings and result.json, all together or not at all.

    Where a required check fails only result.json is written, and the status is 1. Parts of several jobs share boards; a
    job that fails stops all, or with --go-on is named and left out.

    \b
    Examples:
      cutpath export porch.toml -o porch
      cutpath export porch.toml -o porch --despite-checks
      cutpath export porch.toml deck.toml -o may --stock rack.toml --update-stock
    """
    from cutpath.cli.export import Wishes
    from cutpath.cli.export import export as exported

    wishes = Wishes(
        force=force,
        despite_checks=despite_checks,
        pattern=pattern,
        open_packet=open_packet,
        stock=stock,
        update_stock=update_stock,
        go_on=go_on,
        search=search,
        as_json=as_json,
    )
    context.exit(exported(job, out, wishes))


@main.command(short_help="Show a page that answers while you type.")
@click.argument("job", type=click.Path(path_type=Path), default=Path("job.toml"))
@click.option(
    "--port", type=click.IntRange(0, 65535), metavar="N", help="Port; left out, the job's own, or any that is free."
)
@click.option("--lan", is_flag=True, help="Serve the local network too, and print a code for a phone to read.")
@click.option("--no-open", is_flag=True, help="Print the address, and start no browser.")
def serve(job: Path, port: int | None, lan: bool, no_open: bool) -> None:
    """Serve a page of JOB (default: job.toml, written as by init where it is missing).

    The form's keys are the job file's, and the stair is drawn while you type. The file is written when you save. The
    printed address holds a key for this run; nothing answers without it. Ctrl-C ends it.
    Without --lan it serves this machine alone.

    With --lan whoever has the address, or reads the code, can change the job, and what goes to and fro can be read in
    that network: use it in your own.

    \b
    Examples:
      cutpath serve
      cutpath serve porch.toml --lan
      cutpath serve porch.toml --no-open --port 8123
    """
    import os

    from cutpath.page.jobfile import read_file
    from cutpath.page.lan import lan_address, square_code
    from cutpath.page.serve import Served
    from cutpath.page.serve import serve as served

    address = lan_address() if lan else ""

    if not os.path.lexists(job):
        _write_starter(job, "in")
    # What can't be read is said here, not on the page.
    read_file(job)

    def started(at: Served) -> None:
        put(f"{job} is at {at.here}")
        if at.lan:
            put(f"in the local network it is at {at.lan}")
            put_square(square_code(at.lan))
        put("Ctrl-C ends it.")
        if not no_open and click.launch(at.here):
            say("no browser could be started; open the address in one")

    if served(job, port, started, note_changed, lan=address):
        raise KeyboardInterrupt


@main.command(short_help="Read a DXF as a machine would, and say what is wrong.")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE.dxf")
@click.option(
    "--against",
    type=click.Path(path_type=Path),
    metavar="JOB",
    multiple=True,
    help="Lay this job's design over the file as well; once for each of jobs that were cut together.",
)
@click.option(
    "--stock", type=click.Path(path_type=Path), help="With --against: the stock file that its boards were taken off."
)
@click.option("--tool", metavar="WIDTH", help="The cutter's width, such as 1/4in or 6mm: looks for what it can't cut.")
@click.option("--cut-layer", "cut_layers", multiple=True, metavar="NAME", help="A layer that is cut; once for each.")
@click.option("--picture", type=click.Path(path_type=Path), metavar="FILE.svg", help="Draw the file, findings marked.")
@_JSON
@click.pass_context
def inspect(
    context: click.Context,
    file: Path,
    against: tuple[Path, ...],
    stock: Path | None,
    tool: str | None,
    cut_layers: tuple[str, ...],
    picture: Path | None,
    as_json: bool,
) -> None:
    """Read a DXF that anybody wrote as a machine would, and say what is wrong with it.

    Ends with status 0 where nothing spoils a cut, 1 where something does, and 2 where the file can't be read.

    \b
    Examples:
      cutpath inspect porch/boards/01.dxf --against porch.toml
      cutpath inspect may/boards/01_1of2.dxf --against porch.toml --stock rack.toml
      cutpath inspect sent.dxf --tool 1/4in --picture sent.svg
      cutpath inspect sent.dxf --cut-layer PROFILE --cut-layer HOLES
    """
    from cutpath.cli.inspect import Asked
    from cutpath.cli.inspect import inspect as inspected

    context.exit(inspected(file, Asked(against, stock, tool, cut_layers, picture, as_json)))


@main.command(short_help="Mend a DXF into a new one, every change listed.")
@click.argument("source", type=click.Path(path_type=Path), metavar="IN.dxf")
@click.argument("target", type=click.Path(path_type=Path), metavar="OUT.dxf")
@click.option("--units", type=click.Choice(["in", "mm"]), help="State this unit; no coordinate is changed.")
@click.option("--gap", default="0.1mm", show_default=True, metavar="LENGTH", help="Ends this near are joined.")
@click.option(
    "--tolerance", default="0.05mm", show_default=True, metavar="LENGTH", help="How far arcs may lie off a spline."
)
@click.option("--cut-layer", "cut_layers", multiple=True, metavar="NAME", help="A layer that is cut; once for each.")
@click.option("--force", is_flag=True, help="Write over OUT.dxf where it is there already.")
@_JSON
@click.pass_context
def repair(
    context: click.Context,
    source: Path,
    target: Path,
    units: Literal["in", "mm"] | None,
    gap: str,
    tolerance: str,
    cut_layers: tuple[str, ...],
    force: bool,
    as_json: bool,
) -> None:
    """Mend on a DXF's cut layers what can be mended without guessing, and write it as a new file.

    Blocks are exploded, splines and ellipses become arcs, what has no length or is there twice goes, ends that meet
    become contours. Nothing else is touched. Ends with status 1 where something is left that spoils a cut.

    \b
    Examples:
      cutpath repair sent.dxf mended.dxf
      cutpath repair sent.dxf mended.dxf --units mm --gap 0.2mm
    """
    from cutpath.cli.repair import RepairAsked
    from cutpath.cli.repair import repair as repaired

    context.exit(repaired(source, target, RepairAsked(units, gap, tolerance, cut_layers, force, as_json)))


@main.command(short_help="Print the rule sets, or one with its sources.")
@click.argument("name", required=False)
@_JSON
def rules(name: str | None, as_json: bool) -> None:
    """Print the rule sets that ship, or one with the source of every limit.

    NAME is what a job's stair.rules says: a set that ships, or the path of your own file. A limit that nobody looked up
    is marked.

    \b
    Examples:
      cutpath rules
      cutpath rules irc-2021
      cutpath rules house.toml --json
    """
    from cutpath.job.build import rules_of
    from cutpath.rules.load import load_rules, shipped

    if name is None:
        sets = [load_rules(each) for each in shipped()]
        if as_json:
            from cutpath.tables.rule_sets import rule_sets_data

            print_json(rule_sets_data(sets))
        else:
            from cutpath.report.rules import rule_sets_text

            put(rule_sets_text(sets))
        return
    # Nobody wrote a job's key here.
    found = load_rules(rules_of(name, Path()), key="")
    if as_json:
        from cutpath.tables.rule_sets import rule_set_data

        print_json(rule_set_data(found))
    else:
        from cutpath.report.rules import rule_set_text

        put(rule_set_text(found))


@main.command("give-back", short_help="Put a cancelled export's boards back on a stock file.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--stock", type=click.Path(path_type=Path), required=True, help="The stock file that the boards were taken off."
)
def give_back(folder: Path, stock: Path) -> None:
    """Put the boards that an export took back on the stock file, and take the offcuts off it that it left.

    For a job that is not cut after all. FOLDER is the one that it was exported to; its files stay, and may be gone.

    \b
    Examples:
      cutpath give-back may --stock rack.toml
    """
    from cutpath.stockfile.read import read_stock
    from cutpath.stockfile.update import give_back as give
    from cutpath.units import many

    count = give(stock, read_stock(stock), folder)
    note_changed(f"{stock} has its boards back")
    put(f"{stock}: {many(count, 'board')} given back of what {folder} took")


@main.command(short_help="Print the JSON Schema of the job file.")
@click.option("--stock", "of_stock", is_flag=True, help="The stock file's instead.")
def schema(of_stock: bool) -> None:
    """Print the JSON Schema of the job file, for editors that complete keys.

    \b
    Examples:
      cutpath schema > job.schema.json
      cutpath schema --stock > stock.schema.json
    """
    if of_stock:
        from cutpath.stockfile.keys import stock_schema as wanted
    else:
        from cutpath.job.schema import schema as wanted
    put_json(json.dumps(wanted(), indent=2, ensure_ascii=False) + "\n")


def run(arguments: list[str] | None = None) -> int:
    """Run the command line; every fault is one plain line on standard error, never a traceback.

    Args:
        arguments: without the program's name; None: those of the process.

    Returns:
        The exit status, as the table in README has it.
    """
    begin()
    return status_after(_run(arguments), NOT_PRINTED)


def _run(arguments: list[str] | None) -> int:
    from cutpath.faults import Fault

    try:
        status = main.main(args=arguments, prog_name="cutpath", standalone_mode=False)
    except Fault as fault:
        return _fail(*fault.lines)
    except click.exceptions.NoArgsIsHelpError as error:
        put_aside(error.format_message())
        return WRONG_INPUT
    except click.ClickException as error:
        return _fail(" ".join(error.format_message().split()))
    except (click.Abort, KeyboardInterrupt):
        say(f"stopped; {changed()}")
        return STOPPED
    except SystemExit:
        # The reader of a pipe went away while it was shown the help: click ends the process by itself then.
        return DONE
    except Exception as error:
        if isinstance(error, OSError) and _is_of_click(error):
            # While it printed the help or the version by itself, or a line's end on standard error after Ctrl-C.
            if isinstance(error.__context__, KeyboardInterrupt):
                return STOPPED
            note_not_printed(error)
            return DONE
        if os.environ.get("CUTPATH_TRACEBACK"):
            raise
        say(f"{_ours(error)}; {changed()}")
        return OUR_FAULT
    return status if isinstance(status, int) else DONE


def _is_of_click(error: OSError) -> bool:
    frames = traceback.extract_tb(error.__traceback__)
    return "click" in Path(frames[-1].filename).parts


def _ours(error: Exception) -> str:
    """A fault of the program in a line that whoever mends it can use."""
    last = traceback.extract_tb(error.__traceback__)[-1]
    where = Path(last.filename).parts[-3:]
    said = " ".join(str(error).split())[:200]
    return (
        f"a fault of the program, not of yours: {type(error).__name__}{': ' if said else ''}{said} at "
        f"{'/'.join(where)}, line {last.lineno}; please report this line together with the job"
    )


def _fail(*lines: str) -> int:
    for line in lines:
        say(line)
    return WRONG_INPUT
