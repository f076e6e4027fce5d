"""`wiregen new`: specs of doors that are not there yet, one from options or many from a list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from wiregen import completing

if TYPE_CHECKING:
    from wiregen.entering.entry import Entry
    from wiregen.reading.model import Problem, SpecError

Command = TypeVar("Command", bound=Callable[..., Any])


def _site(command: Command) -> Command:
    for option in (
        click.option("--quiet", is_flag=True, help="Say nothing on standard error but what went wrong."),
        click.argument("folder", metavar="SITE", type=click.Path(exists=True, file_okay=False, path_type=Path)),
    ):
        command = option(command)
    return command


@click.group()
def new() -> None:
    """Write the specs of new doors, each like a kit and on what the site has free."""


@new.command()
@click.option("--type", "kit", required=True, metavar="KIT", shell_complete=completing.kits,
              help="The kit that the door is like.")  # fmt: skip
@click.option("--id", "door", metavar="ID", help="Its id; the next free number if not given.")
@click.option("--name", metavar="TEXT", help="What people call it.")
@click.option("--feed", metavar="WHAT", help="A feed of the kit, or what to hang it on: FB1, N1.p-5, \"N2 FB4\".")
@click.option("--closet", metavar="PLACE", help="The place of the site from which its cable comes.")
@click.option("--length", metavar="LENGTH", help="The run from there, such as 35 m or \"about 60 ft\".")
@click.option("--fire-rating", metavar="TEXT", help="Its fire rating, such as EI 30.")
@_site
def door(folder: Path, kit: str, door: str | None, quiet: bool, **given: str | None) -> int:
    """One door: a commented spec in SITE/doors/ID.yaml, to be filled in further.

    \b
    Example:
      wiregen new door door_specs/fernhill --type magnet --id D140 --name "Potting shed"
    """
    from wiregen.entering.cells import Cell
    from wiregen.entering.enter import next_id
    from wiregen.entering.entry import Entry
    from wiregen.reading.load import load_site
    from wiregen.reading.model import SpecError, Where

    def cell(option: str, text: str) -> Cell:
        return Cell(text, Where(f"--{option.replace('_', '-')}", 0, 0))

    def entries() -> list[Entry]:
        texts = {option: text for option, text in given.items() if text}
        id_ = door or next_id(load_site(folder))
        return [Entry(door=cell("id", id_), kit=cell("type", kit), **{key: cell(key, text) for key, text in texts.items()})]  # type: ignore[arg-type]

    try:
        return _written(folder, entries(), quiet)
    except SpecError as error:
        return _told(error)


@new.command()
@click.option("--from", "list_", required=True, metavar="FILE", type=click.Path(exists=True, dir_okay=False, path_type=Path),
              help="The list: CSV in UTF-8, parted by commas, semicolons or tabs, with a row of headings.")  # fmt: skip
@_site
def doors(folder: Path, list_: Path, quiet: bool) -> int:
    """A list of doors: a spec each. Nothing is written where any row is wrong, and no file is ever overwritten.

    Columns, in any order: door and kit; and, where the list has them, name, feed, closet, length, fire rating, notes, and
    lengths of other runs ("frame length"). Other columns are kept under `about` and printed on the door's data sheet.

    \b
    Example:
      wiregen new doors door_specs/fernhill --from doors.csv
    """
    from wiregen.cli import _say
    from wiregen.entering.cells import rows
    from wiregen.entering.columns import entries, said
    from wiregen.entering.enter import places_of
    from wiregen.reading.load import load_site
    from wiregen.reading.model import SpecError

    try:
        unit = {"metric": "m", "imperial": "ft"}[load_site(folder).house.units]
        found, problems = entries(rows(list_.read_bytes(), str(list_)), str(list_), places_of(folder), unit)
        if not quiet and (kept := list(said(found))):
            _say(f"kept under `about`: {', '.join(kept)}")
        return _written(folder, found, quiet, problems)
    except SpecError as error:
        return _told(error)


def _written(folder: Path, entries: Sequence[Entry], quiet: bool, problems: Sequence[Problem] = ()) -> int:
    from wiregen.cli import CLEAN, _say
    from wiregen.entering.enter import enter
    from wiregen.new_files import write_new

    specs = enter(folder, entries, problems)
    write_new({spec.path: spec.text.encode() for spec in specs})
    if not quiet:
        for spec in specs:
            _say(f"wrote {spec.path}")
        _say(f"next: wiregen check {folder}")
    return CLEAN


def _told(error: SpecError) -> int:
    from wiregen.cli import UNUSABLE, _tell_problems

    _tell_problems(error.problems, "text")
    return UNUSABLE
