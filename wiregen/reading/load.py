"""Reads a site's folder: `site.yaml`, `doors/`, `kits/`, and data sheets in `devices/` beside the site and above it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from wiregen.reading.banks import spread
from wiregen.reading.document import Table, parse, table
from wiregen.reading.doors import RELATIONS, door
from wiregen.reading.model import Problem, Sheet, Site, SpecError, Where
from wiregen.reading.overlay import lay_over, without_none
from wiregen.reading.sheets import sheet
from wiregen.reading.sites import site

DEALT_IN_DEVICE = frozenset({*RELATIONS, "set"})
DEALT_IN_GROUP = frozenset(
    "plus minus poles between jacks common make break in out ref a b d0 d1 tx rx screen mark sense does out-of "
    "closed-when moves-when gives-when".split()
)


def load_site(folder: Path) -> Site:
    """The site in that folder.  Raises SpecError with every problem of every file, in order of place."""
    problems: list[Problem] = []
    complain = problems.append
    files = {kind: list(_tables(folder, kind, complain)) for kind in ("devices", "kits", "doors")}
    site_table = _read(folder / "site.yaml", complain)
    if problems or site_table is None:
        raise SpecError(_sorted(problems))
    sheet_tables = {str(t["type"]): t for t in files["devices"]}
    sheets: dict[str, Sheet] = {}
    for name, written in sheet_tables.items():
        if "like" in written:
            base = sheet_tables[written["like"]]
            written = lay_over(base, written)
        if "groups" in written:
            groups = spread(written["groups"], DEALT_IN_GROUP.__contains__, complain, "groups")
            written = written.but("groups", groups)
        sheets[name] = sheet(written)
    kits = {str(t["kit"]): t for t in files["kits"]}
    doors = {}
    for written in files["doors"]:
        merged = _devices_spread(written, complain)
        if "like" in written:
            merged = lay_over(_devices_spread(kits[written["like"]], complain), merged)
        if "feed" in written:
            merged = merged.but("devices", lay_over(merged["devices"], merged["feeds"][merged["feed"]]))
        merged = without_none(merged)
        made = door(merged, sheets, str(written["like"]) if "like" in written else None)
        doors[made.id] = made
    if problems:
        raise SpecError(_sorted(problems))
    return site(folder.resolve().name, site_table, sheets, dict(sorted(doors.items())))


def _devices_spread(written: Table, complain: Any) -> Table:
    if "devices" not in written:
        return written
    devices = spread(written["devices"], DEALT_IN_DEVICE.__contains__, complain, "devices")
    return written.but("devices", table(devices.mark, ((ref, _zipped(body, complain, f"devices, {ref}")) for ref, body in devices.items())))


def _zipped(device: Any, complain: Any, path: str) -> Any:
    """`obeys: {in-1..3: A1.q-1..3}` dealt out, own group by own group."""
    if not isinstance(device, Table):
        return device
    return table(
        device.mark,
        (
            (key, spread(value, lambda _: True, complain, f"{path}, {key}") if key in RELATIONS and isinstance(value, Table) else value)
            for key, value in device.items()
        ),
    )


def _tables(folder: Path, kind: str, complain: Any) -> Iterator[Table]:
    places = [folder / kind, folder.parent / kind] if kind == "devices" else [folder / kind]
    for place in places:
        for path in sorted(place.glob("*.yaml")):
            found = _read(path, complain)
            if found is not None:
                yield found


def _read(path: Path, complain: Any) -> Table | None:
    try:
        raw = path.read_bytes()
    except OSError as error:
        complain(Problem(Where(str(path), 1, 1), "", error.strerror or "unreadable"))
        return None
    return parse(raw, str(path), complain)


def _sorted(problems: list[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(set(problems), key=lambda p: (p.where, p.path, p.wrong)))
