"""Drafts: a door (or the site) as one table, its kit and feed laid in, its banks spelt out, and checked by its schema.

What the schema refuses is complained of and taken out, so that the references of the rest can still be looked at: one run
names all problems of all files.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from wiregen.reading import schema
from wiregen.reading.banks import spread
from wiregen.reading.document import Table, Text
from wiregen.reading.doors import RELATIONS
from wiregen.reading.model import Problem
from wiregen.reading.overlay import lay_over, without_none

Complain = Callable[[Problem], None]
Path = tuple[str | int, ...]

DEALT = frozenset({*RELATIONS, "set"})  # keys of a device whose texts are dealt out where the device is a bank
HELD_APART = {"devices": 3, "shared": 3, "runs": 2, "cables": 2, "feeds": 2, "stock": 2}  # how deep a fault is cut out


class Named(NamedTuple):
    """Tables by name, and the names of files that could not be read: nobody can say what those would have held."""

    tables: Mapping[str, Table]
    unread: frozenset[str]


@dataclass(frozen=True)
class Draft:
    """What is sound of a door or site.  `written` is the whole table as merged, `sound` what its schema let stand."""

    id: str  # empty for the site
    written: Table
    sound: Table
    kit: str | None = None
    otherwise: tuple[Draft, ...] = ()  # the door with each feed that is not built

    @property
    def devices(self) -> Table:
        return self._part("devices" if self.id else "shared")

    @property
    def runs(self) -> Table:
        return self._part("runs")

    def knows(self, key: str, name: str) -> bool:
        """Whether the file names it at all, sound or not."""
        return name in self.written.get(key, ())

    def _part(self, key: str) -> Table:
        part = self.sound.get(key)
        return part if isinstance(part, Table) else Table.at(self.sound.mark)


def site_draft(written: Table, complain: Complain) -> Draft:
    merged = without_none(_spelt(written, "shared", complain))
    return Draft("", merged, _sound("site", merged, complain))


def check_kit(written: Table, complain: Complain) -> None:
    """Complains of what the schema refuses in a kit, used or not."""
    for fault in schema.faults("door", without_none(_spelt(written, "devices", complain))):
        complain(fault.problem)


def door_draft(name: str, written: Table, kits: Named, complain: Complain) -> Draft:
    """The door of that id.  Kits come as they stand in their files."""
    merged = _spelt(written, "devices", complain)
    like = written.get("like")
    kit = None
    if isinstance(like, Text) and like:
        if like in kits.tables:
            kit = str(like)
            base = _spelt(kits.tables[like], "devices", complain).without("kit")
            merged = lay_over(base, merged.without("like"))
        elif like not in kits.unread:
            known = schema.suggestion(like, kits.tables) or schema.offered(sorted(kits.tables), "kits: ")
            complain(Problem(like.where, "like", f"there is no kit {like}", known))
    feed, feeds = merged.get("feed"), merged.get("feeds")
    if isinstance(feed, Text) and isinstance(feeds, Table) and feed not in feeds:
        known = schema.suggestion(feed, feeds) or schema.offered(feeds, "feeds: ")
        complain(Problem(feed.where, "feed", f"there is no feed {feed}", known))
    tables = {each: without_none(_fed(merged, each)) for each in (feeds if isinstance(feeds, Table) else ())}
    built = tables.pop(feed, None) if isinstance(feed, Text) else None
    built = without_none(merged) if built is None else built
    others = tuple(Draft(name, table, _sound("door", table, complain), kit) for table in tables.values())
    return Draft(name, built, _sound("door", built, complain), kit, others)


def _fed(merged: Table, feed: str) -> Table:
    """The door with the overlay of that feed laid over its devices."""
    devices, overlay = merged.get("devices"), merged["feeds"][feed]
    return (
        merged.but("devices", lay_over(devices, overlay))
        if isinstance(devices, Table) and isinstance(overlay, Table)
        else merged
    )


def _spelt(written: Table, key: str, complain: Complain) -> Table:
    """The table with the banks among its devices, and those of its feeds, spelt out."""
    spelt = written.but(key, _devices(written[key], key, complain)) if key in written else written
    feeds = written.get("feeds")
    if isinstance(feeds, Table):
        overlays = ((name, _devices(overlay, f"feeds, {name}", complain)) for name, overlay in feeds.items())
        spelt = spelt.but("feeds", Table.at(feeds.mark, overlays))
    return spelt


def _devices(written: Any, path: str, complain: Complain) -> Any:
    if not isinstance(written, Table):
        return written
    spelt = spread(written, DEALT.__contains__, complain, path)
    return Table.at(spelt.mark, ((ref, _zipped(body, complain, f"{path}, {ref}")) for ref, body in spelt.items()))


def _zipped(device: Any, complain: Complain, path: str) -> Any:
    """`obeys: {in-1..3: A1.q-1..3}` dealt out, own group by own group."""
    if not isinstance(device, Table):
        return device
    zipped = (
        (
            key,
            spread(value, lambda _: True, complain, f"{path}, {key}")
            if key in RELATIONS and isinstance(value, Table)
            else value,
        )
        for key, value in device.items()
    )
    return Table.at(device.mark, zipped)


def _sound(name: str, merged: Table, complain: Complain) -> Table:
    faults = schema.faults(name, merged)
    for fault in faults:
        complain(fault.problem)
    for path in {fault.path[: HELD_APART.get(str(fault.path[0]), 1)] for fault in faults if fault.path}:
        if len(path) != 2 or path[0] not in ("devices", "shared") or not isinstance(merged[path[0]][path[1]], Table):
            merged = _cut(merged, path)  # a device that lacks a key stays: what it does say can still be looked at
    return merged


def _cut(value: Any, path: Path) -> Any:
    """The table without the entry at that path."""
    step, *rest = path
    if not isinstance(value, Table) or step not in value:
        return value
    return value.but(str(step), _cut(value[step], tuple(rest))) if rest else value.without(str(step))
