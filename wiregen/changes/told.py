"""Changes in words, as text and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from wiregen.changes.model import Change, Changes, DoorChanges

DO = {
    "added": "add",
    "removed": "remove",
    "moved": "move",
    "recoloured": "recolour",
    "recored": "change the core of",
    "relabelled": "relabel",
    "swapped": "swap",
    "set": "set",
    "changed": "change",
}


def headline(door: DoorChanges) -> str:
    """What became of a door as a whole."""
    match door.how:
        case "added":
            return f"{door.door} {door.name}: a new door"
        case "removed":
            return f"{door.door} {door.name}: the door is gone"
        case "relabelled":
            return f"{door.door} {door.name}: relabel the door, its sleeves and cables, from {door.was} to {door.door}"
    return f"{door.door} {door.name}"


def doing(change: Change) -> str:
    """What to do, in the imperative: "move", "relabel"; what only shows itself is not done by anybody."""
    match change.of:
        case "reading":
            return "expect"
        case "finding":
            return "read" if change.how == "added" else "strike out"
        case "pages":
            return ""
    return DO[change.how]


def from_to(change: Change) -> str:
    """What it was and what it is now."""
    if change.old and change.new:
        return f"{change.old} → {change.new}"
    return change.old or change.new


def thing(change: Change) -> str:
    """"conductor A106a", "its pages say something else"."""
    match change.of:
        case "pages":
            return "its pages say something else"
        case "unused":
            return f"unused lead or terminal {change.name}"
    return change.name if change.of == "door" else f"{change.of} {change.name}"


def changes_text(changes: Changes) -> str:
    """Door by door; the number of doors last."""
    lines: list[str] = []
    for door in changes.doors:
        lines += [headline(door), *_lines(door), ""]
    if changes.sheets:
        lines += [f"sheets of the site that say something else: {', '.join(changes.sheets)}", ""]
    count = len(changes.doors)
    return "\n".join([*lines, f"{count} door{'' if count == 1 else 's'} changed" if count else "no door changed"])


def _lines(door: DoorChanges) -> Iterator[str]:
    for change in door.changes:
        said = from_to(change)
        yield "    " + f"{doing(change)} {thing(change)}".lstrip() + (f": {said}" if said else "")
    if door.sections and door.changes[0].of != "pages":
        yield f"    print anew: {', '.join(door.sections)}"


def changes_data(changes: Changes) -> dict[str, Any]:
    return asdict(changes)
