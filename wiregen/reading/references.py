"""References between files and devices that do not resolve: each kind its own message, with what is there instead.

Which group a bare name means is the wiring's to find; a device, group, side or terminal that is named must be there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wiregen.reading.document import Table, Text
from wiregen.reading.doors import relations
from wiregen.reading.drafts import Draft
from wiregen.reading.library import Library
from wiregen.reading.model import CableSheet, Changeover, DataSheet, LineEndSheet, Problem, Relation, Target
from wiregen.reading.quantity import KINDS, Unfit, band
from wiregen.reading.schema import offered, suggestion
from wiregen.reading.targets import target


@dataclass(frozen=True)
class Specs:
    """All drafts of a site, and its data sheets."""

    site: Draft
    doors: Mapping[str, Draft]
    unread: frozenset[str]  # doors whose files could not be read
    library: Library

    @property
    def drafts(self) -> Iterator[Draft]:
        yield self.site
        yield from self.doors.values()

    def holder(self, draft: Draft, aim: Target) -> Draft | None:
        """Where the target's device is to be found: its door, this door, or the site; None if nobody names it."""
        if aim.door is not None:
            return self.doors.get(aim.door)
        for each in (draft, self.site):
            if each.knows("devices" if each.id else "shared", aim.device):
                return each
        return None

    def sheet(self, holder: Draft, ref: str) -> DataSheet | None:
        """The sheet of a device; None if the device, its type or its sheet is unsound, which was complained of elsewhere."""
        device = holder.devices.get(ref)
        named = device.get("type") if isinstance(device, Table) else None
        sheet = self.library.get(named) if isinstance(named, Text) else None
        return sheet if isinstance(sheet, DataSheet) else None


def of_devices(specs: Specs, draft: Draft) -> Iterator[Problem]:
    """Types, targets, settings and calmers of every device of the draft."""
    key = "devices" if draft.id else "shared"
    for ref, device in draft.devices.items():
        path = f"{key}, {ref}"
        yield from _type(specs, device, path)
        sheet = specs.sheet(draft, ref)
        for relation in relations(device):
            yield from _relation(specs, draft, ref, sheet, relation, path)
        if sheet is not None:
            yield from _settings(sheet, device, path)
        calm = device.get("calm")
        if isinstance(calm, Text) and calm != "none":
            yield from kind_of(specs.library, calm, "calmer", f"{path}, calm")


KINDS_OF_SHEET = {
    "device": "name a data sheet of a device",
    "cable": "name a data sheet that says is: cable",
    "calmer": "name a data sheet that says is: calmer",
    "line-end": "name a data sheet that says is: line-end",
}


def kind_of(library: Library, name: Text, kind: str, path: str) -> Iterator[Problem]:
    """That there is a sheet of that name, and that it is of the kind due."""
    if name not in library:
        known = suggestion(name, library.types) or "write one in devices/, or take a type that is there"
        yield Problem(name.where, path, f"there is no data sheet {name}", known)
        return
    sheet = library.get(name)
    if sheet is not None and not _is(sheet, kind):
        yield Problem(name.where, path, f"{name} is a {sheet.is_} where a {kind} is due", KINDS_OF_SHEET[kind])


def _is(sheet: Any, kind: str) -> bool:
    match kind:
        case "cable":
            return isinstance(sheet, CableSheet)
        case "line-end":
            return isinstance(sheet, LineEndSheet)
        case "device":
            return isinstance(sheet, DataSheet)
    return bool(sheet.is_ == kind)


def _type(specs: Specs, device: Table, path: str) -> Iterator[Problem]:
    named = device.get("type")
    if isinstance(named, Text):
        yield from kind_of(specs.library, named, "device", f"{path}, type")


def _relation(
    specs: Specs, draft: Draft, ref: str, sheet: DataSheet | None, relation: Relation, path: str
) -> Iterator[Problem]:
    path = f"{path}, {relation.kind}"
    if relation.own is not None and sheet is not None and relation.own not in sheet.groups:
        yield Problem(relation.where, path, f"{sheet.type} has no group {relation.own}", _other(relation.own, sheet.groups))
    for aim in relation.targets:
        if aim.word == "mains" and relation.kind != "from":
            yield Problem(relation.where, path, "mains stands only after from", "name a device")
        if aim.word is None:
            yield from aimed(specs, draft, aim, relation.where, path)
            if aim.door is None and aim.device == ref:
                yield Problem(relation.where, path, f"{ref} points at itself", "name another device")


def aimed(specs: Specs, draft: Draft, aim: Target, where: Any, path: str) -> Iterator[Problem]:
    """That the device, group, side and terminal of a target are there."""
    if aim.door in specs.unread:
        return
    if aim.door is not None and aim.door not in specs.doors:
        yield Problem(where, path, f"there is no door {aim.door}", _other(aim.door, specs.doors))
        return
    holder = specs.holder(draft, aim)
    if holder is None or not holder.knows("devices" if holder.id else "shared", aim.device):
        yield _no_device(specs, draft, aim, where, path)
        return
    sheet = specs.sheet(holder, aim.device)
    if sheet is None:
        return
    name = f"{aim.device} ({sheet.type})"
    if aim.terminal is not None and aim.terminal not in {terminal.mark for terminal in sheet.terminals}:
        marks = [terminal.mark for terminal in sheet.terminals]
        yield Problem(where, path, f"{name} has no terminal {aim.terminal}", _other(aim.terminal, marks))
    if aim.group is not None and aim.group not in sheet.groups:
        yield Problem(where, path, f"{name} has no group {aim.group}", _other(aim.group, sheet.groups))
    elif aim.group is not None and aim.side is not None and not isinstance(sheet.groups[aim.group], Changeover):
        kind = sheet.groups[aim.group].kind
        yield Problem(
            where, path, f"{aim.device}.{aim.group} is a {kind}: it has no {aim.side} side", f"write {aim.device}.{aim.group}"
        )


def _no_device(specs: Specs, draft: Draft, aim: Target, where: Any, path: str) -> Problem:
    if aim.door is not None:
        known = set(specs.doors[aim.door].written.get("devices", ()))
        return Problem(where, path, f"{aim.door} has no device {aim.device}", _other(aim.device, known))
    known = {*draft.written.get("devices" if draft.id else "shared", ()), *specs.site.written.get("shared", ())}
    home = "this door or among the shared devices of the site" if draft.id else "the site"
    return Problem(where, path, f"there is no device {aim.device} in {home}", _other(aim.device, known))


def _other(word: str, known: Any) -> str:
    near = suggestion(word, known)
    few = sorted(known)
    return near or (offered(few, "there are: ") if 0 < len(few) <= 40 else "")


def _settings(sheet: DataSheet, device: Table, path: str) -> Iterator[Problem]:
    for key, value in device.get("set", {}).items():
        choices = sheet.settings.get(key)
        if choices is None:
            known = (
                suggestion(key, sheet.settings) or offered(sheet.settings, "its settings: ")
                if sheet.settings
                else "it has none"
            )
            yield Problem(key.where, f"{path}, set", f"{sheet.type} has no setting {key}", known)
        elif value not in choices and not (len(choices) == 1 and _within(value, choices[0])):
            known = _other(value, choices) if len(choices) > 1 else offered(choices)
            yield Problem(value.where, f"{path}, set, {key}", f"{value} is no choice of {key}", known)


def _within(value: str, choice: str) -> bool:
    """Whether a quantity lies in a band that a data sheet allows."""
    try:
        due, found = band(choice, *KINDS), band(str(value), *KINDS)
    except Unfit:
        return False
    return due.unit == found.unit and due.least <= found.least and found.most <= due.most


def of_conductors(specs: Specs, draft: Draft) -> Iterator[Problem]:
    """Terminals that conductors added or dropped by hand name."""
    by_hand = draft.sound.get("conductors", {})
    for entry in by_hand.get("add", ()):
        for end in (entry["from"], entry["to"]):
            yield from aimed(specs, draft, target(end), end.where, "conductors, add")
    for entry in by_hand.get("drop", ()):
        for end in entry[:2]:
            yield from aimed(specs, draft, target(end), end.where, "conductors, drop")
