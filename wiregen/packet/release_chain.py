"""The release chain of each lock: from mains, port or battery to the lock, every device and contact in order.

Values only; `tracing.py` reads them off the wiring, and nothing here knows where a thing is drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from wiregen.packet.ways import Wire
from wiregen.packet.wording import joined, named

Look = Literal["mains", "output", "fuse", "battery", "contact", "pass", "series", "load", "input", "drive", "line", "end"]


@dataclass(frozen=True, kw_only=True)
class Thing:
    """One thing on a line: `enters` and `leaves` are its terminals there.

    `enters` has more than one terminal where several feed it.  `kind` is what moves a contact, or the part that a load is
    drawn as; `word` stands inside, `words` say what it does.  `acts` are the letters of the lines that work it.  `resets` says
    how what stays moved is put back, `fire` what an output does on fire alarm where its device can drop one.
    """

    ref: str
    look: Look
    name: str = ""
    place: str = ""
    enters: tuple[str, ...] = ()
    leaves: str = ""
    kind: str = ""
    word: str = ""
    closed: bool = False
    words: tuple[str, ...] = ()
    acts: tuple[str, ...] = ()
    resets: str = ""
    fire: Literal["drops", "stands", ""] = ""


@dataclass(frozen=True)
class Branch:
    """A thing with the wires to it from what stands before, and those from it to where alternatives meet."""

    before: tuple[Wire, ...]
    thing: Thing
    after: tuple[Wire, ...] = ()


Stage = tuple[Branch, ...]  # more than one: alternatives, beside one another


@dataclass(frozen=True)
class Run:
    """A line: stages in order.  A bold one leads to a lock; a thin one, under a letter, to what it works."""

    title: str
    bold: bool
    stages: tuple[Stage, ...]
    letter: str = ""

    @property
    def branches(self) -> tuple[Branch, ...]:
        return tuple(branch for stage in self.stages for branch in stage)


@dataclass(frozen=True)
class Release:
    """The chains of a door's locks, and what acts upon them in the order of its letters."""

    chains: tuple[Run, ...]
    acting: tuple[Run, ...]

    @property
    def things(self) -> tuple[Thing, ...]:
        return tuple(branch.thing for run in (*self.chains, *self.acting) for branch in run.branches)


def together(runs: Sequence[Run]) -> Run:
    """Runs that differ in numbers alone as one: "Y1 to Y8", "C1 to C8", each wire once."""
    first = runs[0]
    if len(runs) == 1:
        return first
    stages = [
        tuple(_one([run.stages[n][m] for run in runs]) for m in range(len(stage))) for n, stage in enumerate(first.stages)
    ]
    return replace(first, title=named(run.title for run in runs), stages=tuple(stages))


def _one(alike: Sequence[Branch]) -> Branch:
    things = [branch.thing for branch in alike]
    enters = zip(*(thing.enters for thing in things), strict=True)
    thing = replace(
        things[0],
        ref=named(thing.ref for thing in things),
        enters=tuple(named(marks) for marks in enters),
        leaves=named(thing.leaves for thing in things),
        words=tuple(joined(words) for words in zip(*(thing.words for thing in things), strict=True)),
        acts=tuple(dict.fromkeys(letter for thing in things for letter in thing.acts)),
    )
    before = dict.fromkeys(wire for branch in alike for wire in branch.before)
    return Branch(tuple(before), thing, tuple(dict.fromkeys(wire for branch in alike for wire in branch.after)))
