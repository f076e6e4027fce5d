"""Designations whose letter is not the class letter of the site's table: listed once, never changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wiregen.reading.model import Device
from wiregen.review.rule import Found, Job, site_rule

# Class letters by the `is:` word of a data sheet.  IEC 81346-2:2009: B sensing, E emitting, F protecting, G generating,
# K processing signals, M moving, P presenting, Q switching energy, R restricting, S converting a manual operation,
# T transforming, X connecting.  IEEE 315 clause 22: from memory where the status list of the sources says so.
IEC: Mapping[str, str] = {
    "battery": "G", "board": "K", "box": "X", "button": "S", "calmer": "R", "contact": "B", "controller": "K", "earth": "X",
    "fuse": "F", "interface": "K", "lock": "M", "machine": "M", "panel": "X", "protector": "F", "reader": "B", "relay": "K",
    "sensor": "B", "sounder": "P", "beacon": "P", "supply": "T", "switch": "K", "transfer": "X",
}  # fmt: skip
IEEE: Mapping[str, str] = {
    "battery": "BT", "board": "A", "box": "TB", "button": "S", "calmer": "CR", "contact": "S", "controller": "A", "earth": "E",
    "fuse": "F", "interface": "K", "lock": "L", "machine": "B", "panel": "J", "protector": "E", "reader": "A", "relay": "K",
    "sensor": "A", "sounder": "LS", "beacon": "DS", "supply": "PS", "switch": "A", "transfer": "W",
}  # fmt: skip
TABLES = {"iec": ("IEC 81346-2", IEC), "ieee": ("IEEE 315", IEEE)}


@site_rule("letters", "note", "designations whose letter is not that of the site's table are listed",
           source="IEC 81346-2:2009; IEEE 315, clause 22")  # fmt: skip
def letters(job: Job) -> Iterator[Found]:
    name, table = TABLES[job.site.house.letters]
    others: dict[tuple[str, str], set[str]] = {}
    devices: list[Device] = list(job.site.shared.values())
    for case in job.cases.values():
        devices += case.door.devices.values()
    for device in devices:
        letter = device.ref.rstrip("0123456789")
        expected = table.get(device.sheet.is_)
        if expected is not None and letter != expected:
            others.setdefault((letter, device.sheet.is_), set()).add(expected)
    if others:
        listed = ", ".join(f"{letter} for {is_} ({'/'.join(sorted(due))})" for (letter, is_), due in sorted(others.items()))
        yield Found(
            job.site.where,
            f"letters that are not those of {name}: {listed}",
            "nothing to do: designations are the author's; the note stands in the packet for the reader",
        )


RULES = (letters,)
