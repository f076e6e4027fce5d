"""What stands inside a device between which of its terminals, as the data sheet tells it; nothing here knows where it is drawn.

The look of a part comes from group kinds, `inside` and condition words alone, never from a designation or a name.
"""

from __future__ import annotations

from dataclasses import dataclass

from wiregen.reading import model as sheet_model
from wiregen.reading.model import Band, Condition, DataSheet, Group

# Contacts are drawn with no power anywhere, the door shut and latched, nobody at it: of all condition words these alone hold.
AT_REST = frozenset({"shut", "latched"})
_MOVED_BY = {
    "pressed": "push", "shut": "reed", "bonded": "reed", "latched": "cam", "thrown": "cam", "open": "cam", "tampered": "cam",
    "motion": "field", "vehicle": "field",
}  # fmt: skip
_LOADS = {"sounder": "sounder", "beacon": "lamp"}  # what the sheet's `is:` word says of a load that tells nothing of its inside
_PROTOCOLS = {"osdp": "OSDP", "wiegand": "Wiegand", "rs-232": "RS-232", "coded": "coded", "intercom": "speech", "loop": "loop"}


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing inside.

    `look` is contact, changeover, part, source, load, line, input, drive, earth, jack, pass or tie.  `marks` are its terminals:
    contact first and second; changeover common, make, break; part in its own order; source, load and line the plus side first.
    `what` is the part's kind, or what moves a contact; `word` a few letters beside it.
    """

    look: str
    marks: tuple[str, ...]
    what: str = ""
    word: str = ""
    closed: bool = False
    fused: bool = False
    line_end: tuple[str, str] | None = None  # in series, across


def closed_at_rest(conditions: tuple[Condition, ...]) -> bool:
    """Whether a contact with these conditions conducts as it is drawn."""
    return all(any(word in AT_REST for word in c.any_of) != c.negated for c in conditions) if conditions else False


def items_of(sheet: DataSheet) -> tuple[Item, ...]:
    """Everything inside, in the order of the sheet; ties first, because other things hang on them."""
    ties = [Item(look="tie", marks=marks) for marks in sheet.tied]
    parts = [_part(sheet, part) for part in sheet.inside]
    groups = [item for group in sheet.groups.values() for item in _group(sheet, group, parts)]
    return tuple(ties + parts + groups)


def _part(sheet: DataSheet, part: sheet_model.Part) -> Item:
    kind = part.kind
    if kind == "coil" and any(isinstance(g, sheet_model.Takes) and g.current == "ac" for g in sheet.groups.values()):
        kind = "ac coil"
    value = part.resistance or part.impedance or part.clamps or part.cold
    return Item(look="part", marks=part.between, what=kind, word=short(value) if value else "")


def _group(sheet: DataSheet, group: Group, parts: list[Item]) -> list[Item]:
    match group:
        case sheet_model.Takes(current="mains"):
            return [Item(look="load", marks=group.marks, word="mains")]
        case sheet_model.Takes():
            return _load(sheet, group, parts)
        case sheet_model.Gives():
            word = _volts(group.volts, group.current)
            if sheet.is_ == "battery":
                return [Item(look="part", marks=_pair(group.first, group.second), what="battery", word=word)]
            return [Item(look="source", marks=_pair(group.first, group.second), word=word, fused=group.limit_kind == "fuse")]
        case sheet_model.Contact():
            ends = (short(group.line_end.series), short(group.line_end.across)) if group.line_end else None
            moved, word = _movement(sheet, group.closed_when)
            closed = closed_at_rest(group.closed_when)
            return [Item(look="contact", marks=group.between, what=moved, word=word, closed=closed, line_end=ends)]
        case sheet_model.Changeover():
            moved, word = _movement(sheet, group.moves_when)
            return [Item(look="changeover", marks=group.marks, what=moved, word=word, closed=_moved_at_rest(group.moves_when))]
        case sheet_model.Pass(between=(str(), str()) as ends):
            return [Item(look="pass", marks=ends)]
        case sheet_model.Input():
            return [Item(look="input", marks=(group.in_,))]
        case sheet_model.Drive():
            return [Item(look="drive", marks=(group.out,))]
        case sheet_model.Line():
            return [Item(look="line", marks=tuple(group.roles.values()), word=_PROTOCOLS.get(group.protocol, group.protocol))]
        case sheet_model.Jack():
            return [Item(look="jack", marks=(group.mark,), word={"in": "PoE in", "out": "PoE out"}.get(group.poe, "data"))]
        case sheet_model.Earth():
            return [Item(look="earth", marks=(group.mark,))]
    return []


def _load(sheet: DataSheet, group: sheet_model.Takes, parts: list[Item]) -> list[Item]:
    """A load is shown by its parts, or by an arrow and its volts.  A calmer that is fitted lies across a coil."""
    ends = _pair(group.first, group.second)
    inside = [p for p in parts if set(p.marks) == set(ends)]
    if sheet.is_ in _LOADS:
        return [Item(look="part", marks=ends, what=_LOADS[sheet.is_], word=_volts(group.range, group.current))]
    if not inside:
        return [Item(look="load", marks=ends, word=_volts(group.range, group.current))]
    fitted = [w for w in sheet.calm.fitted if w in ("diode", "varistor", "tvs")] if sheet.calm else []
    # a diode's part runs from anode to cathode, and its cathode is on the plus side
    return [Item(look="part", marks=ends[::-1], what=word) for word in fitted if not any(p.what == word for p in parts)]


def _pair(first: str | None, second: str | None) -> tuple[str, ...]:
    return tuple(m for m in (first, second) if m is not None)


def _volts(volts: Band | None, current: str) -> str:
    """A direct voltage needs no further word, an alternating one does."""
    return " ".join(([short(volts)] if volts else []) + (["AC"] if current == "ac" else []))


def _moved_at_rest(conditions: tuple[Condition, ...]) -> bool:
    """A change-over rests on its break side unless the shut and latched door itself moves it."""
    return bool(conditions) and all(not c.negated and set(c.any_of) <= AT_REST for c in conditions)


def _movement(sheet: DataSheet, conditions: tuple[Condition, ...]) -> tuple[str, str]:
    """What moves a contact, and a word that says when."""
    words = [(w, c.negated) for c in conditions for w in c.any_of if w != "powered"]
    moved = next((_MOVED_BY[w] for w, _ in words if w in _MOVED_BY), "relay")
    if moved == "push" and any(isinstance(g, sheet_model.Contact | sheet_model.Changeover) and g.stays == "until reset"
                               for g in sheet.groups.values()):  # fmt: skip
        moved = "latching push"
    said = [_said(sheet, w, negated) for w, negated in words if moved in ("relay", "field")]
    return moved, " ".join(dict.fromkeys(said))


def _said(sheet: DataSheet, word: str, negated: bool) -> str:
    group = sheet.groups.get(word)
    if isinstance(group, sheet_model.Input):
        word = group.in_
    elif group is not None and group.name == word and len(word) > 8:
        word = word[:8]
    return f"no {word}" if negated else word


def short(band: Band) -> str:
    """A quantity in a few letters: nominal value for one that has a tolerance, both ends for a range."""
    text = band.text.replace("about ", "")
    if ".." in text:
        low, _, high = text.partition("..")
        return f"{low}–{high}".replace("kohm", "kΩ").replace("ohm", "Ω")
    return text.split("±")[0].split("+-")[0].strip().replace("kohm", "kΩ").replace("ohm", "Ω")
