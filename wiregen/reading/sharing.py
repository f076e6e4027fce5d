"""Things of which there is one: a switch port, a patch port, a designation, a member of a list."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.banks import spell
from wiregen.reading.document import Table, Text
from wiregen.reading.doors import relations
from wiregen.reading.drafts import Draft
from wiregen.reading.model import Jack, Pass, Problem, Where
from wiregen.reading.references import Specs, kind_of
from wiregen.reading.schema import offered, suggestion


def of_ports(specs: Specs) -> Iterator[Problem]:
    """One plug a jack: two relations on one switch port, or two through one patch port, whatever their doors."""
    taken: dict[tuple[str, str, str], tuple[str, Where]] = {}
    for draft in specs.drafts:
        for ref, device in draft.devices.items():
            for relation in relations(device):
                for aim in relation.targets:
                    holder = specs.holder(draft, aim)
                    sheet = specs.sheet(holder, aim.device) if holder is not None else None
                    group = sheet.groups.get(aim.group or "") if sheet is not None else None
                    if holder is None or not (isinstance(group, Jack) or (isinstance(group, Pass) and group.jacks)):
                        continue
                    key = (holder.id, aim.device, group.name)
                    user = f"{ref} of {draft.id}" if draft.id else ref
                    first, where = taken.setdefault(key, (user, relation.where))
                    if (user, relation.where) != (first, where):
                        path = f"{'devices' if draft.id else 'shared'}, {ref}, {relation.kind}"
                        wrong = f"{aim.device}.{group.name} is taken: {first} is plugged in there ({where})"
                        yield Problem(relation.where, path, wrong, "one plug a jack: name another port")


def of_lists(specs: Specs) -> Iterator[Problem]:
    """Devices, doors, cables and sheets that lists of the door and of the site name."""
    for draft in specs.drafts:
        yield from _devices_named(specs, draft)
    yield from _site_lists(specs)


def _devices_named(specs: Specs, draft: Draft) -> Iterator[Problem]:
    named: list[tuple[Text, str]] = []
    for bank in draft.sound.get("at-once", ()):
        named.extend((Text.at(ref, bank.mark), "at-once") for ref in spell(bank))
    for state, steps in draft.sound.get("order", {}).items():
        named.extend((step, f"order, {state}") for step in steps if not step[:1].isdigit())
    for ref, cable in draft.sound.get("cables", {}).items():
        for bank in cable.get("for", ()):
            named.extend((Text.at(each, bank.mark), f"cables, {ref}, for") for each in spell(bank))
        if "type" in cable:
            yield from kind_of(specs.library, cable["type"], "cable", f"cables, {ref}, type")
        yield from _along(draft, ref, cable)
    for ref, path in named:
        if not draft.knows("devices", ref):
            known = draft.written.get("devices", ())
            help_ = suggestion(ref, known) or offered(known, "its devices: ")
            yield Problem(ref.where, path, f"there is no device {ref} in this door", help_)


def _along(draft: Draft, ref: str, cable: Table) -> Iterator[Problem]:
    known = {*map(str, draft.runs), *(str(run[0] if isinstance(run, list) else run["to"]) for run in draft.runs.values())}
    for place in cable.get("along", ()):
        if place not in known and not draft.knows("runs", place):
            help_ = suggestion(place, known) or offered(sorted(known), "places: ")
            yield Problem(place.where, f"cables, {ref}, along", f"there is no place {place}", help_)


STOCK_KINDS = {
    "power": "cable",
    "signal": "cable",
    "line": "cable",
    "link": "cable",
    "wire": "cable",
    "calm": "calmer",
    "line-end": "line-end",
}


def _site_lists(specs: Specs) -> Iterator[Problem]:
    for key, value in specs.site.sound.get("stock", {}).items():
        if kind := STOCK_KINDS.get(key):
            for name in [value] if isinstance(value, Text) else value:
                yield from kind_of(specs.library, name, kind, f"stock, {key}")
    for name, joint in specs.site.sound.get("joint", {}).items():
        for door in joint["doors"]:
            if door not in specs.doors and door not in specs.unread:
                help_ = suggestion(door, specs.doors) or offered(sorted(specs.doors), "doors: ")
                yield Problem(door.where, f"joint, {name}, doors", f"there is no door {door}", help_)
