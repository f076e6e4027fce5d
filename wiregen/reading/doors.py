"""Doors: from their merged tables, banks spelt out, to Door with its devices, runs and relations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from wiregen.reading.document import Items, Table, Text
from wiregen.reading.groups import listed
from wiregen.reading.model import (
    Acceptance,
    AddedConductor,
    AsBuilt,
    CableChoice,
    DataSheet,
    Device,
    Door,
    Relation,
    RelationKind,
    Revision,
    Run,
    Sheet,
)
from wiregen.reading.quantity import band
from wiregen.reading.sheets import marks, texts
from wiregen.reading.targets import alternatives, target

RELATIONS: tuple[RelationKind, ...] = ("from", "through", "tells", "speaks", "obeys", "earths")
BY = ("supply", "mount", "terminate")


def door(written: Table, sheets: Mapping[str, Sheet], kit: str | None) -> Door:
    """The door of a table that satisfies the schema."""
    leave_by, why_none = _leave_by(written["leave-by"])
    runs = {str(place): run(place, body) for place, body in written["runs"].items()}
    return Door(
        id=str(written["door"]),
        name=str(written["name"]),
        leave_by=leave_by,
        why_none=why_none,
        want=texts(written.get("want")),
        runs=runs,
        exposed=frozenset(map(str, written.get("exposed", ()))),
        devices=devices(written.get("devices", Table()), sheets, {r.transfer: r.parent for r in runs.values() if r.transfer}),
        where=written.where,
        keys={str(key): key.where for key in written},
        kit=kit,
        order={str(state): tuple(map(str, steps)) for state, steps in written.get("order", Table()).items()},
        use=texts(written.get("use")),
        at_once=tuple((marks(refs), int(count)) for refs, count in written.get("at-once", Table()).items()),
        fire_rating=optional(written, "fire-rating"),
        feed=optional(written, "feed"),
        feeds=tuple(map(str, written.get("feeds", ()))),
        cables={str(ref): _cable_choice(ref, body) for ref, body in written.get("cables", Table()).items()},
        add=tuple(_added(entry) for entry in written.get("conductors", {}).get("add", ())),
        drop=tuple((target(entry[0]), target(entry[1])) for entry in written.get("conductors", {}).get("drop", ())),
        dropped_why=tuple(" ".join(entry[2:]) for entry in written.get("conductors", {}).get("drop", ())),
        as_built=tuple(_as_built(entry) for entry in written.get("as-built", ())),
        accept=tuple(_acceptance(code, body) for code, body in written.get("accept", Table()).items()),
        notes=tuple(map(str, written.get("notes", ()))),
        revisions=revisions(written.get("revisions", ())),
        about=texts(written.get("about")),
    )


def _leave_by(written: Text | Items | Table) -> tuple[tuple[str, ...], str | None]:
    if isinstance(written, Table):
        return ("none",), str(written["none"])
    return listed(written), None


def optional(written: Table, key: str) -> str | None:
    return str(written[key]) if key in written else None


def revisions(written: Iterable[Table]) -> tuple[Revision, ...]:
    return tuple(
        Revision(str(entry["rev"]), str(entry["date"]), str(entry["what"]), optional(entry, "by")) for entry in written
    )


def run(place: Text, written: Items | Table) -> Run:
    """`box: [closet-1, 55 m]`, `leaf: [frame, 1 m, T1]`, or a table with more to say."""
    if isinstance(written, Items):
        transfer = str(written[2]) if len(written) > 2 else None
        return Run(str(place), str(written[0]), band(str(written[1]), "m"), place.where, transfer)
    return Run(
        place=str(place),
        parent=str(written["to"]),
        length=band(str(written["length"]), "m"),
        where=place.where,
        transfer=optional(written, "transfer"),
        cable=optional(written, "cable"),
        way=optional(written, "way"),
        outdoor=written.get("outdoor") == "true",
        temperature=band(str(written["temperature"]), "K") if "temperature" in written else None,
        by=optional(written, "by"),
    )


def devices(written: Table, sheets: Mapping[str, Sheet], transfers: Mapping[str, str]) -> dict[str, Device]:
    """Every device; a transfer that says no place hangs at the end of its run that lies nearer the closet."""
    return {str(ref): device(ref, body, sheets, transfers.get(ref, "")) for ref, body in written.items()}


def device(ref: Text, written: Table, sheets: Mapping[str, Sheet], place: str) -> Device:
    sheet = sheets[written["type"]]
    assert isinstance(sheet, DataSheet)
    by = written.get("by")
    return Device(
        ref=str(ref),
        sheet=sheet,
        place=str(written.get("at", place)),
        relations=relations(written),
        where=ref.where,
        by={"all": str(by)} if isinstance(by, Text) else texts(by),
        mount=texts(written.get("mount")),
        set=texts(written.get("set")),
        want=texts(written.get("want")),
        calm=optional(written, "calm"),
        existing=written.get("existing") == "true",
    )


def relations(written: Table) -> tuple[Relation, ...]:
    """The relations of a device in the order written; `through` keeps the order of its contacts."""
    made: list[Relation] = []
    for key in written:
        if key in RELATIONS:
            kind = RELATIONS[RELATIONS.index(key)]
            made.extend(_through(written[key], None) if kind == "through" else _plain(kind, written[key]))
    return tuple(made)


def _plain(kind: RelationKind, written: Text | Items | Table, own: str | None = None) -> Iterable[Relation]:
    if isinstance(written, Table):
        for name, value in written.items():
            yield from _plain(kind, value, str(name))
    else:
        for word in [written] if isinstance(written, Text) else written:
            yield Relation(kind, own, (target(word),), word.where)


def _through(written: Any, own: str | None, pole: Any = None) -> Iterable[Relation]:
    """A list, or lists by pole, or either of them by own group."""
    if isinstance(written, Table):
        for name, value in written.items():
            if name in ("plus", "minus"):
                yield from _through(value, own, str(name))
            else:
                yield from _through(value, str(name), pole)
    else:
        for word in [written] if isinstance(written, Text) else written:
            yield Relation("through", own, alternatives(word, target), word.where, pole)


def _cable_choice(ref: Text, written: Table) -> CableChoice:
    return CableChoice(
        ref=str(ref),
        where=ref.where,
        type=optional(written, "type"),
        along=tuple(map(str, written.get("along", ()))),
        serves=marks(written.get("for", Items())),
        existing=written.get("existing") == "true",
    )


def _added(written: Table) -> AddedConductor:
    return AddedConductor(
        target(written["from"]), target(written["to"]), str(written["why"]), written.where, optional(written, "colour")
    )


def _as_built(written: Table) -> AsBuilt:
    ends = {key: target(written[key]) if key in written else None for key in ("from", "to")}
    words = {key: optional(written, key) for key in ("colour", "core", "note", "by", "date")}
    length = band(str(written["length"]), "m") if "length" in written else None
    keys = {str(key): value.where for key, value in written.items()}
    return AsBuilt(str(written["wire"]), written.where, keys, from_=ends["from"], to=ends["to"], length=length, **words)


def _acceptance(code: Text, written: Text | Table) -> Acceptance:
    if isinstance(written, Text):
        return Acceptance(str(code), str(written), code.where)
    words = {key: optional(written, key) for key in ("by", "who", "date", "clause")}
    return Acceptance(str(code), str(written["reason"]), code.where, **words)
