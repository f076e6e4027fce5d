"""The command line.  Stages are imported by the command that needs them, so that `--version` and `check` start at once."""

from __future__ import annotations

import difflib
import os
import re
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from functools import partial, wraps
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from wiregen import __version__, completing
from wiregen.cli_new import new

if TYPE_CHECKING:
    from wiregen.build import Examined
    from wiregen.crew import Hands
    from wiregen.keeping.whole import Whole
    from wiregen.output import Product
    from wiregen.reading.model import Problem, Site
    from wiregen.review.model import Finding

CLEAN, STOPPED, UNUSABLE, FAILED = 0, 1, 2, 3  # exit statuses
Command = TypeVar("Command", bound=Callable[..., Any])


# ---- what every command takes ----------------------------------------------------------------------------------------


def _common(command: Command, needed: bool = True) -> Command:
    """The options of every command.  Where SITE is not `needed`, the command itself says when it is."""

    @wraps(command)
    def run(*arguments: Any, jobs: int, cluster: str | None, **options: Any) -> Any:
        return _hiring(command)(*arguments, jobs=cluster or jobs, **options)

    ready: Any = run
    for option in (
        click.option("--quiet", is_flag=True, help="Say nothing on standard error but what went wrong."),
        click.option("--jobs", type=click.IntRange(1, 256), default=1, show_default=True, help="Processes to work in."),
        click.option("--cluster", metavar="tcp://HOST:PORT", callback=_scheduler,
                     help="Work on a Dask cluster instead (pip install wiregen[cluster])."),
        click.option("--format", "form", type=click.Choice(["text", "json", "sarif"]), default="text", show_default=True,
                     help="How results are written to standard output."),
        click.option("--door", "doors", multiple=True, metavar="ID", help="Only this door; may be given again.",
                     shell_complete=completing.doors),
        click.argument("folder", metavar="SITE" if needed else "[SITE]", required=needed,
                       type=click.Path(exists=True, file_okay=False, path_type=Path)),
    ):  # fmt: skip
        ready = option(ready)
    return cast("Command", ready)


def _hiring(command: Command) -> Command:
    """The command with hands for all that it has to do, in place of how many processes they are."""

    @wraps(command)
    def run(*arguments: Any, jobs: int | str, **options: Any) -> Any:
        from wiregen.crew import hired

        with hired(jobs) as hands:
            return command(*arguments, jobs=hands, **options)

    return cast("Command", run)


def _scheduler(_: click.Context, __: click.Parameter, address: str | None) -> str | None:
    if address is not None and find_spec("distributed") is None:
        raise click.BadParameter("needs Dask's distributed: pip install 'wiregen[cluster]'")
    return address


@click.group(context_settings={"help_option_names": ["--help"], "max_content_width": 100})
@click.version_option(__version__, message="%(prog)s %(version)s")
def commands() -> None:
    """Door wiring for access control: from a spec a door to a checked, printed packet.

    SITE is the folder that holds site.yaml. Results go to standard output, progress and messages to standard error.

    Exit status: 0 done and nothing at level stop; 1 done, with findings at level stop; 2 the input or the command line
    is unusable; 3 something else went wrong.
    """


commands.add_command(new)


@commands.command()
@click.option("--explain", "code", metavar="CODE", shell_complete=completing.rules,
              help="Tell the whole story of a rule instead; needs no SITE.")  # fmt: skip
@partial(_common, needed=False)
def check(folder: Path | None, code: str | None, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    """Read, wire, study and review; print the findings; write nothing.

    \b
    Example:
      wiregen check door_specs/fernhill --door D104
      wiregen check --explain release-manual
    """
    if code is not None:
        return _explain(code, form)
    if folder is None:
        raise click.UsageError("Missing argument 'SITE'.")
    examined = _examine(folder, doors, form, jobs, quiet)
    if examined is None:
        return UNUSABLE
    return _print_findings(examined.site.id, examined.of(doors), len(doors) or len(examined.site.doors), form)


@commands.command()
@click.option("-o", "--output", "out", metavar="DIR", type=click.Path(file_okay=False, path_type=Path),
              help="Where the packet goes; output/SITE if not given.")  # fmt: skip
@click.option("--verify", is_flag=True, help="Write nothing; list what in DIR is not what the specs give.")
@click.option("--since", metavar="REV", help="Only the sheets that are not as issued in REV, or as in that git revision.")
@click.option("--redact", is_flag=True, help="Leave out what an outsider must not have; needs -o, a folder of its own.")
@_common
def packet(
    folder: Path, out: Path | None, verify: bool, since: str | None, redact: bool, doors: tuple[str, ...], form: str,
    jobs: Hands, quiet: bool,
) -> int:
    """The main job: packet.pdf, its sheets as SVG, its tables as CSV and everything computed in record.json.

    With --door it writes that door's pages alone, doors/ID.pdf, and leaves the packet as it is. A door with a finding
    at level stop is still printed, marked NOT FOR INSTALLATION. With --verify the exit status is 1 where anything differs.
    With --since it writes changes/REV.pdf alone: a cover that says which pages to take out of the packet that is held and
    which to put in, and these; for each volume with doors that changed, changes/REV-N.pdf.

    \b
    Example:
      wiregen packet door_specs/fernhill -o output/fernhill
      wiregen packet door_specs/fernhill -o output/fernhill --verify
      wiregen packet door_specs/fernhill -o output/fernhill --since B
    """
    from wiregen.output import alone

    if redact and (verify or doors or since is not None or out is None):
        raise click.UsageError("--redact makes a whole set, in a folder of its own: -o DIR, without --door, --since, --verify")
    out = out or Path("output") / folder.resolve().name
    if verify:
        if doors or form == "sarif":
            raise click.UsageError("--verify looks at the whole packet, and tells it as text or JSON")
        return _verify(folder, out, form, jobs, quiet)
    if since is not None and doors:
        raise click.UsageError("--since looks at the whole packet: it finds the doors itself")
    with alone(out, _silent if quiet else _say):
        if since is not None:
            return _write_changes(folder, out, since, form, jobs, quiet)
        if redact:
            return _write_redacted(folder, out, form, jobs, quiet)
        return _write_doors(folder, out, doors, form, jobs, quiet) if doors else _write_packet(folder, out, form, jobs, quiet)


def _write_doors(folder: Path, out: Path, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    examined = _examine(folder, doors, form, jobs, quiet)
    if examined is None:
        return UNUSABLE
    from wiregen.making import files_of
    from wiregen.output import write

    with Progress(quiet) as tell:
        written = write(out, files_of(examined, doors, jobs=jobs, tell=tell))
    if not quiet:
        for name in written:
            _say(f"wrote {out / name}")
    return _print_findings(examined.site.id, examined.of(doors), len(doors), form)


def _write_changes(folder: Path, out: Path, since: str, form: str, jobs: Hands, quiet: bool) -> int:
    from wiregen.changes.sides import NotFound
    from wiregen.reading.model import SpecError

    try:
        held = _held(folder, since, jobs, quiet)
    except SpecError as error:
        _tell_problems(error.problems, form)
        return UNUSABLE
    except NotFound as error:
        _say(str(error))
        return UNUSABLE
    examined = _examine(folder, (), form, jobs, quiet)
    if examined is None:
        return UNUSABLE
    from wiregen.making import replaced
    from wiregen.output import made, write

    name = f"changes/{re.sub(r'[^A-Za-z0-9._-]+', '-', since)}"
    with Progress(quiet) as tell:
        books = replaced(examined, held, since, jobs=jobs, tell=tell)
        written = write(out, (made(f"{name}{_of_volume(book)}.pdf", pages) for book, pages in books))
    if not quiet:
        for file in written:
            _say(f"wrote {out / file}")
    return _print_findings(examined.site.id, examined.findings, len(examined.site.doors), form)


def _of_volume(book: str) -> str:
    """What tells the change packet of a volume from that of the packet."""
    return f"-{Path(book).stem}" if "/" in book else ""


def _held(folder: Path, since: str, jobs: Hands, quiet: bool) -> dict[str, Any]:
    """The record of the packet that is held: as it was issued, or as a git revision makes it.  Raises SpecError, NotFound."""
    from wiregen.build import examine
    from wiregen.changes.issue import file_of, read_issue
    from wiregen.changes.sides import site_folder
    from wiregen.keeping.store import own_store
    from wiregen.making import bound_record

    file = file_of(folder, since)
    if file is not None and file.exists():
        return read_issue(file).record
    with site_folder(f"{since}:./{os.path.relpath(folder)}") as then, Progress(quiet) as tell:
        return bound_record(examine(then, jobs=jobs, tell=tell, store=own_store()), jobs=jobs, tell=tell)


def _write_redacted(folder: Path, out: Path, form: str, jobs: Hands, quiet: bool) -> int:
    examined = _examine(folder, (), form, jobs, quiet, redact=True)
    if examined is None:
        return UNUSABLE
    from wiregen.making import files_of
    from wiregen.output import PACKET, write

    with Progress(quiet) as tell:
        write(out, files_of(examined, jobs=jobs, tell=tell), whole=True)
    if not quiet:
        _say(f"wrote {out / PACKET}, redacted")
    return _print_findings(examined.site.id, examined.findings, len(examined.site.doors), form)


def _write_packet(folder: Path, out: Path, form: str, jobs: Hands, quiet: bool) -> int:
    from wiregen.keeping.store import own_store
    from wiregen.keeping.whole import known
    from wiregen.output import PACKET, differing, write

    whole = known(own_store(), folder)
    if whole is not None and not differing(out, whole.products):
        os.utime(out / PACKET)  # as new as what it came from, for make
        if not quiet:
            _say(f"nothing has changed: {out / PACKET} is what the specs give")
    else:
        whole = _make_whole(folder, form, jobs, quiet, lambda files: write(out, files, whole=True))
        if whole is None:
            return UNUSABLE
        if not quiet:
            _say(f"wrote {out / PACKET}")
    return _print_findings(whole.site, whole.findings, whole.doors, form)


def _make_whole(
    folder: Path, form: str, jobs: Hands, quiet: bool, take: Callable[[Iterator[Product]], dict[str, str]]
) -> Whole | None:
    """What is kept of a packet whose files `take` has taken; None where the site is unusable, and its problems were told."""
    examined = _examine(folder, (), form, jobs, quiet)
    if examined is None:
        return None
    from wiregen.keeping.whole import Whole, keep
    from wiregen.making import files_of

    with Progress(quiet) as tell:
        products = take(files_of(examined, jobs=jobs, tell=tell))
    whole = Whole(examined.site.id, len(examined.site.doors), examined.findings, products)
    keep(examined.store, folder, examined.inputs, whole)
    return whole


def _digests(files: Iterator[Product]) -> dict[str, str]:
    return {file.name: file.digest or sha256(file.make()).hexdigest() for file in files}


def _verify(folder: Path, out: Path, form: str, jobs: Hands, quiet: bool) -> int:
    from wiregen import results
    from wiregen.keeping.store import own_store
    from wiregen.keeping.whole import known
    from wiregen.output import differing

    whole = known(own_store(), folder) or _make_whole(folder, form, jobs, quiet, _digests)
    if whole is None:
        return UNUSABLE
    found = differing(out, whole.products)
    if form == "json":
        _print(results.as_json({"site": whole.site, "differs": found}))
    else:
        _print("\n".join(found) or f"{out / 'packet.pdf'} is what the specs give")
    return STOPPED if found else CLEAN


@commands.command()
@_common
def study(folder: Path, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    """Every figure of a door, with its formula, inputs and source; those of what doors share under --door site.

    \b
    Example:
      wiregen study door_specs/fernhill --door D104 --format json
    """
    if not doors:
        raise click.UsageError("study needs a door: --door ID")
    if form == "sarif":
        raise click.UsageError("figures have no SARIF form: use --format text or --format json")
    examined = _examine(folder, doors, form, jobs, quiet, shared=True)
    if examined is None:
        return UNUSABLE
    from wiregen import results

    studies = [examined.study(door) for door in doors]
    if form == "json":
        _print(results.as_json([results.study_data(each) for each in studies]))
    else:
        _print("\n\n".join(map(results.study_text, studies)))
    return STOPPED if any(finding.level == "stop" for finding in examined.of(doors)) else CLEAN


@commands.command()
@_common
def feeds(folder: Path, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    """Every way to feed a door that the site offers or could offer, side by side, best first.

    The rest of the spec stays as it is. Exit status 1 where no way passes.

    \b
    Example:
      wiregen feeds door_specs/fernhill --door D105
    """
    if not doors:
        raise click.UsageError("feeds needs a door: --door ID")
    if form == "sarif":
        raise click.UsageError("ways to feed a door have no SARIF form: use --format text or --format json")
    from wiregen import results
    from wiregen.build import ways_to_feed
    from wiregen.feeds.rank import recommended
    from wiregen.feeds.table import feeds_data, feeds_text
    from wiregen.reading.load import load_site
    from wiregen.reading.model import SpecError

    try:
        with Progress(quiet) as tell:
            site = load_site(folder)
            for door in doors:
                _must_have(site, door)
            found = ways_to_feed(folder, site, doors, jobs=jobs, tell=tell)
    except SpecError as error:
        _tell_problems(error.problems, form)
        return UNUSABLE
    if form == "json":
        _print(results.as_json([feeds_data(door, ways) for door, ways in found.items()]))
    else:
        _print("\n\n".join(feeds_text(door, ways) for door, ways in found.items()))
    return CLEAN if all(recommended(ways) for ways in found.values()) else STOPPED


@commands.command()
@_common
@click.argument("told", nargs=-1, metavar="[READING | SIGN]...")
def diagnose(folder: Path, told: tuple[str, ...], doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    """What is wrong with a door: the faults that explain what was measured and seen, and what to measure next.

    A reading is "[STATE:] TERMINAL TERMINAL = VOLTS", a sign "THING is [not] WORD [on STATE]" with the words held and free
    (of a lock), dark and lit (of a device), active and inactive (of an input). States: idle (where none is written), grant,
    the ways to leave such as exit-sensor, mains-lost, fire.

    \b
    Example:
      wiregen diagnose door_specs/fernhill --door D104 "lock stays held on grant" "grant: Y1.+ Y1.- = 24 V"
    """
    if len(doors) != 1:
        raise click.UsageError("diagnose needs one door: --door ID")
    if form == "sarif":
        raise click.UsageError("a diagnosis has no SARIF form: use --format text or --format json")
    from wiregen import results
    from wiregen.faults.diagnose import diagnose as search
    from wiregen.faults.diagnose import diagnosis_data, diagnosis_text
    from wiregen.faults.told import NotUnderstood
    from wiregen.reading.load import load_site
    from wiregen.reading.model import SpecError
    from wiregen.states.table import settler_of
    from wiregen.study.network import NotSolved
    from wiregen.wiring.wire import wire_door, wire_site

    try:
        site = load_site(folder)
        _must_have(site, doors[0])
        door, shared = site.doors[doors[0]], wire_site(site)
        wiring = wire_door(site, door)
        found = search(door, wiring, settler_of(site, door, wiring, shared), told)
    except SpecError as error:
        _tell_problems(error.problems, form)
        return UNUSABLE
    except NotUnderstood as error:
        for message in error.messages:
            _say(message)
        if form == "json":
            _print(results.as_json({"problems": list(error.messages)}))
        return UNUSABLE
    except NotSolved:
        _say(f"{doors[0]}: one of its faults has no operating point that can be found")
        return UNUSABLE
    _print(results.as_json(diagnosis_data(found)) if form == "json" else diagnosis_text(found))
    return CLEAN


@commands.command()
@click.option("-o", "--output", "out", metavar="FILE", type=click.Path(path_type=Path),
              help="Where it is written, readable for its owner alone; never to standard output.")  # fmt: skip
@_common
def exposure(folder: Path, out: Path | None, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool) -> int:
    """Which wires of a door open it from outside, into a file that its owner alone can read. Keep it as you keep keys.

    Every attack of one step on what a stranger can reach is solved: pairs joined, wires cut, foreign sources, devices
    pulled off. Exit status 1 where one succeeds.

    \b
    Example:
      wiregen exposure door_specs/fernhill --door D104 -o D104.exposure
    """
    if len(doors) != 1:
        raise click.UsageError("exposure needs one door: --door ID")
    if out is None:
        raise click.UsageError("what exposes a door goes to a file alone: -o FILE")
    if form == "sarif":
        raise click.UsageError("an exposure file has no SARIF form: use --format text or --format json")
    from wiregen import results
    from wiregen.attacks.exposure import exposure_data, exposure_text
    from wiregen.attacks.private import NotOurs, write_private
    from wiregen.attacks.tried import tried
    from wiregen.reading.load import load_site
    from wiregen.reading.model import SpecError
    from wiregen.states.table import settler_of
    from wiregen.study.network import NotSolved
    from wiregen.wiring.wire import wire_door, wire_site

    try:
        site = load_site(folder)
        _must_have(site, doors[0])
        door, shared = site.doors[doors[0]], wire_site(site)
        wiring = wire_door(site, door)
        found = tried(site, door, wiring, settler_of(site, door, wiring, shared))
        data = form == "json"
        told = results.as_json(exposure_data(door.id, wiring, found)) if data else exposure_text(door.id, wiring, found)
        write_private(out, told)
    except SpecError as error:
        _tell_problems(error.problems, "text")
        return UNUSABLE
    except NotSolved:
        _say(f"{doors[0]}: one attack on it has no operating point that can be found")
        return UNUSABLE
    except NotOurs as error:
        _say(str(error))
        return UNUSABLE
    if not quiet:
        _say(f"wrote {out}")
    return STOPPED if found.successes else CLEAN


@commands.command()
@click.option("--jobs", type=click.IntRange(1, 256), default=1, show_default=True, help="Processes to work in.")
@click.option("--quiet", is_flag=True, help="Say nothing on standard error but what went wrong.")
@click.argument("folder", metavar="SITE", type=click.Path(exists=True, file_okay=False, path_type=Path))
@_hiring
def issue(folder: Path, jobs: Hands, quiet: bool) -> int:
    """Keep what is issued now, as SITE/issued/REV.json with the site's revision: later packets mark what is other than that.

    Keep that file with the specs: a packet follows from it too. Nothing is issued while a finding is at level stop.

    \b
    Example:
      wiregen issue door_specs/fernhill
    """
    examined = _examine(folder, (), "text", jobs, quiet)
    if examined is None:
        return UNUSABLE
    from wiregen.changes.issue import file_of, issue_text
    from wiregen.making import bound_record
    from wiregen.output import made, write
    from wiregen.reading.revisions import revisions_of

    if any(finding.level == "stop" for finding in examined.findings):
        _say("nothing was issued: a finding is at level stop")
        return _print_findings(examined.site.id, examined.findings, len(examined.site.doors), "text")
    revisions = revisions_of(examined.site)
    if not revisions:
        _say(f"{folder / 'site.yaml'}: nothing to issue under: name a revision under revisions")
        return UNUSABLE
    rev = revisions[-1].rev
    file = file_of(folder, rev)
    if file is None or file.exists():
        wrong = f"{file}: revision {rev} was issued already" if file else f"revision {rev} cannot be the name of a file"
        _say(f"{wrong}: name a further revision under revisions in site.yaml")
        return UNUSABLE
    with Progress(quiet) as tell:
        record = bound_record(examined, jobs=jobs, tell=tell, to_issue=True)
    write(file.parent, [made(file.name, issue_text(record).encode())])
    if not quiet:
        _say(f"wrote {file}")
    return CLEAN


@commands.command()
@click.option("-o", "--output", "out", metavar="FILE.pdf", type=click.Path(dir_okay=False, path_type=Path),
              help="Where the changes go as a bound sheet too.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="How results are written to standard output.")  # fmt: skip
@click.option("--jobs", type=click.IntRange(1, 256), default=1, show_default=True, help="Processes to work in.")
@click.option("--quiet", is_flag=True, help="Say nothing on standard error but what went wrong.")
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@_hiring
def changes(old: str, new: str, form: str, jobs: Hands, quiet: bool, out: Path | None) -> int:
    """What is no longer as it was, door by door, and what is to be done about it. Exit status 0, changes or none.

    OLD and NEW are each a site's folder, one as a git revision has it, written REV:PATH as for git show, or a record.json
    that was kept.

    \b
    Example:
      wiregen changes HEAD~1:door_specs/fernhill door_specs/fernhill -o changes.pdf
    """
    from wiregen import results
    from wiregen.changes.compare import compare
    from wiregen.changes.sides import NotFound
    from wiregen.changes.told import changes_data, changes_text
    from wiregen.reading.model import SpecError

    try:
        then, now = (_record_of(side, jobs, quiet) for side in (old, new))
    except SpecError as error:
        _tell_problems(error.problems, form)
        return UNUSABLE
    except NotFound as error:
        _say(str(error))
        return UNUSABLE
    found = compare(then, now)
    _print(results.as_json(changes_data(found)) if form == "json" else changes_text(found))
    if out is not None:
        from wiregen.output import made, write
        from wiregen.packet.change_sheet import bind_changes

        write(out.parent, [made(out.name, bind_changes(found, then, now))])
        if not quiet:
            _say(f"wrote {out}")
    return CLEAN


# ---- what the commands share -----------------------------------------------------------------------------------------


def _examine(
    folder: Path, doors: tuple[str, ...], form: str, jobs: Hands, quiet: bool, shared: bool = False, redact: bool = False
) -> Examined | None:
    """The site with its findings; None where it is unusable, and then its problems have been told.

    With `shared`, what doors share may be among `doors` too.
    """
    from wiregen.build import examine
    from wiregen.keeping.store import own_store
    from wiregen.reading.model import SpecError

    try:
        with Progress(quiet) as tell:
            examined = examine(folder, jobs=jobs, tell=tell, store=own_store(), redact=redact)
    except SpecError as error:
        _tell_problems(error.problems, form)
        return None
    for door in doors:
        if not (shared and door in examined.studies):
            _must_have(examined.site, door)
    return examined


def _record_of(side: str, jobs: Hands, quiet: bool) -> dict[str, Any]:
    """One side of a comparison as a record.  Raises SpecError, NotFound."""
    from wiregen.build import examine
    from wiregen.changes.sides import kept_record, site_folder
    from wiregen.keeping.store import own_store
    from wiregen.making import recorded

    kept = kept_record(side)
    if kept is not None:
        return dict(kept)
    with site_folder(side) as folder, Progress(quiet) as tell:
        return recorded(examine(folder, jobs=jobs, tell=tell, store=own_store()), jobs=jobs, tell=tell)


def _tell_problems(problems: Sequence[Problem], form: str) -> None:
    from wiregen import results, sarif

    for problem in problems:
        _say(str(problem))
    count = len(problems)
    _say(f"{count} problem{'' if count == 1 else 's'}: nothing was written")
    if form == "json":
        _print(results.as_json({"findings": [], "problems": [results.problem_data(p) for p in problems]}))
    elif form == "sarif":
        _print(sarif.sarif((), problems, {}))


def _explain(code: str, form: str) -> int:
    from wiregen import results
    from wiregen.review.explain import explained, explained_text
    from wiregen.review.review import RULES

    if form == "sarif":
        raise click.UsageError("a rule alone has no SARIF form: use --format text or --format json")
    if code not in RULES:
        near = difflib.get_close_matches(code, RULES, n=3, cutoff=0.5)
        hint = f"Did you mean {' or '.join(near)}?" if near else f"The rules are {', '.join(sorted(RULES))}."
        raise click.BadParameter(f"there is no rule {code}. {hint}", param_hint="--explain")
    rule = RULES[code]
    _print(results.as_json(explained(rule)) if form == "json" else explained_text(rule))
    return CLEAN


def _must_have(site: Site, door: str) -> None:
    if door in site.doors:
        return
    near = difflib.get_close_matches(door, site.doors, n=1)
    hint = f" Did you mean {near[0]}?" if near else f" Its doors are {', '.join(sorted(site.doors))}."
    raise click.BadParameter(f"{site.id} has no door {door}.{hint}", param_hint="--door")


def _print_findings(site: str, findings: Sequence[Finding], doors: int, form: str) -> int:
    from wiregen import results

    if form == "sarif":
        from wiregen.review.review import RULES
        from wiregen.sarif import sarif

        _print(sarif(findings, (), RULES))
    elif form == "json":
        _print(results.as_json({"site": site, "findings": [results.finding_data(f) for f in findings], "problems": []}))
    else:
        _print(results.findings_text(findings, doors))
    return STOPPED if any(finding.level == "stop" for finding in findings) else CLEAN


class Progress:
    """Tells on standard error how far the work is: a bar where a person watches, a line a step where not."""

    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet
        self._bar: Any = None

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()
            self._bar = None

    def __call__(self, doing: str, done: int, of: int) -> None:
        if self._quiet:
            return
        if not sys.stderr.isatty():
            if done == 0:
                _say(f"{doing}: {of}")
        elif done == 0:
            self.__exit__()
            self._bar = click.progressbar(length=of, label=f"{doing:<10}", file=sys.stderr)
            self._bar.render_progress()
        else:
            self._bar.update(done - self._bar.pos)


def _print(text: str) -> None:
    click.echo(_shown(text))


def _say(text: str) -> None:
    click.echo(_shown(text), err=True)


def _silent(_: str) -> None:
    """Says nothing."""


def _shown(text: str) -> str:
    """Text of strangers without what could steer a terminal."""
    return re.sub(r"[^ -~\n]", lambda c: c[0] if c[0].isprintable() else c[0].encode("unicode_escape").decode(), text)


# ---- the way out -----------------------------------------------------------------------------------------------------


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs a command and ends the process with its exit status.  No traceback reaches a person."""
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None) -> int:
    """Runs a command and gives its exit status.  What goes wrong is told on standard error."""
    try:
        status = commands.main(args=arguments, prog_name="wiregen", standalone_mode=False)
        sys.stdout.flush()
        return status if isinstance(status, int) else CLEAN
    except click.exceptions.Exit as end:
        return end.exit_code
    except (click.Abort, KeyboardInterrupt):
        _say("stopped")
    except click.ClickException as error:
        error.show()
        return UNUSABLE
    except BrokenPipeError:
        _drop_output()
    except OSError as error:
        _drop_output()
        name = f"{error.filename}: " if error.filename is not None else ""
        _say(f"wiregen: {name}{error.strerror or error}")
    except Exception as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        what = " ".join(f"{type(error).__name__}: {error}".split())
        _say(f"wiregen: internal error, please report: {what} ({Path(last.filename).name}:{last.lineno})")
    return FAILED


def _drop_output() -> None:
    """Nobody can take what is still in the buffer; without this the interpreter would complain when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
