"""Compares two records of a site, old and new: what is no longer the same, door by door.

A record is plain JSON (schemas/record.json), so that an old one can be compared without the program that made it.  A door is
told exactly where its content hash is another one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import inf
from typing import Any

from wiregen.changes.cables import called_anew
from wiregen.changes.conductors import conductor_changes, told
from wiregen.changes.model import Change, Changes, DoorChanges
from wiregen.changes.things import THINGS, thing_changes
from wiregen.quantities import quantity, spread
from wiregen.reading.shared import SITE

Json = dict[str, Any]
FACTS = ("name", "kit", "leave-by", "fire-rating")
GRAVE = ("stop", "warn")  # levels of findings that are told


def compare(old: Json, new: Json) -> Changes:
    """Both as `record.json` holds them."""
    then, now = doors_of(old), doors_of(new)
    was = {door: door for door in now if door in then}
    was |= _relabelled([d for d in then.values() if d["id"] not in now], [d for d in now.values() if d["id"] not in then])
    found = [_changed(then[was[door]], now[door]) for door in was if now[door]["hash"] != then[was[door]]["hash"]]
    found += [_whole(now[door], "added") for door in now if door not in was]
    found += [_whole(then[door], "removed") for door in then if door not in was.values()]
    doors = sorted(found, key=lambda d: (d.door != SITE, d.door))
    return Changes(tuple(doors), _other(old["site"].get("sections"), new["site"].get("sections")))


def doors_of(record: Json) -> dict[str, Json]:
    """The doors of a record by id; under `SITE`, in the form of a door, what they share, where anything of it is wired."""
    site = record["site"]
    shared = {"id": SITE, "name": "Shared devices", "devices": site["devices"], **site["wiring"]} if site["wiring"] else None
    return {door["id"]: door for door in (*((shared,) if shared else ()), *record["doors"])}


def _relabelled(gone: Sequence[Json], come: Sequence[Json]) -> dict[str, str]:
    """New id → old id of doors that only have another id: alone of their name on both sides, or else of their content."""
    pairs: dict[str, str] = {}
    for key in (lambda d: d["name"], _content):
        before, after = (_alone(key, [d for d in doors if d["id"] not in known]) for doors, known in (
            (gone, set(pairs.values())), (come, set(pairs))))  # fmt: skip
        for what, door in after.items():
            if what in before and _kept(before[what], door):
                pairs[door["id"]] = before[what]["id"]
    return pairs


def _alone(key: Any, doors: Sequence[Json]) -> dict[Any, Json]:
    keys = [key(door) for door in doors]
    return {what: door for what, door in zip(keys, doors, strict=True) if keys.count(what) == 1}


def _content(door: Json) -> frozenset[tuple[str, ...]]:
    """Its devices and conductors."""
    devices = {("device", d["ref"], d["type"], d["place"]) for d in door["devices"]}
    return frozenset(devices | {("conductor", c["wire"], c["from"], c["to"]) for c in door["conductors"]})


def _kept(old: Json, new: Json) -> bool:
    """Whether at least half of what stands in either stands in both: else it is another door of the same name."""
    then, now = _content(old), _content(new)
    return 2 * len(then & now) >= len(then | now)


def _whole(door: Json, how: Any) -> DoorChanges:
    return DoorChanges(door["id"], door["name"], "" if how == "added" else door["id"], how, (), ())


def _changed(old: Json, new: Json) -> DoorChanges:
    changes = tuple(_door_changes(old, new))
    sections = _other(old.get("sections"), new.get("sections"))
    if not changes:
        changes = (Change("pages", "changed", new["id"], new=", ".join(sections) or "which is not known"),)
    how: Any = "changed" if old["id"] == new["id"] else "relabelled"
    return DoorChanges(new["id"], new["name"], old["id"], how, changes, sections)


def _other(old: Mapping[str, str] | None, new: Mapping[str, str] | None) -> tuple[str, ...]:
    """Titles of which another hash is told; none where a side tells nothing."""
    if old is None or new is None:
        return ()
    return tuple(title for title in dict.fromkeys((*new, *old)) if old.get(title) != new.get(title))


def _door_changes(old: Json, new: Json) -> Iterator[Change]:
    for key in FACTS:
        if old.get(key) != new.get(key):
            yield Change("door", "changed", key.replace("-", " "), told(old.get(key)), told(new.get(key)))
    yield from _wanted(old.get("want", {}), new.get("want", {}))
    if old.get("revisions") != new.get("revisions"):
        yield Change("door", "changed", "revision", _last(old), _last(new))
    old, called = called_anew(old, new)
    yield from called
    yield from conductor_changes(old["conductors"], new["conductors"])
    for things in THINGS:
        yield from thing_changes(things, old, new)
    yield from _readings(old["readings"], new["readings"])
    yield from _findings(old.get("findings", ()), new.get("findings", ()))


def _wanted(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[Change]:
    for state in dict.fromkeys((*old, *new)):
        if old.get(state) != new.get(state):
            yield Change("door", "changed", f"wanted in {state}", told(old.get(state)), told(new.get(state)))


def _last(door: Json) -> str:
    revisions = door.get("revisions") or ({"rev": "none", "date": ""},)
    return f"{revisions[-1]['rev']} {revisions[-1]['date']}".rstrip()


def _readings(old: Iterable[Json], new: Iterable[Json]) -> Iterator[Change]:
    """Those whose value is now outside of the band in which it was expected before."""
    before: dict[tuple[str, ...], list[Json]] = {}
    for r in old:
        before.setdefault(_of_reading(r), []).append(r)
    for now in new:
        same = before.get(_of_reading(now))
        then = same.pop(0) if same else None
        if then is not None and not _most(then, "least", -inf) <= _most(now, "nominal", inf) <= _most(then, "most", inf):
            name = f"{' to '.join(now['between'])}, {now['state']}"
            yield Change("reading", "moved", name, _expected(then), _expected(now))


def _of_reading(r: Json) -> tuple[str, ...]:
    return (*r["between"], r["state"], r["unit"], r["step"])


def _most(reading: Json, key: str, without: float) -> float:
    """What JSON has no number for is without limit."""
    value = reading[key]
    return without if value is None else float(value)


def _expected(r: Json) -> str:
    band = spread(_most(r, "least", -inf), _most(r, "most", inf), r["unit"])
    return f"{quantity(_most(r, 'nominal', inf), r['unit'])} ({band})"


def _findings(old: Iterable[Json], new: Iterable[Json]) -> Iterator[Change]:
    then, now = (
        dict.fromkeys((f["code"], f["level"], f["message"]) for f in findings if f["level"] in GRAVE) for findings in (old, new)
    )
    for code, level, said in (found for found in then if found not in now):
        yield Change("finding", "removed", code, old=f"{level}: {said}")
    for code, level, said in (found for found in now if found not in then):
        yield Change("finding", "added", code, new=f"{level}: {said}")
