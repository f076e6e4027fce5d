"""Data sheets: from their tables to DataSheet, CableSheet and LineEndSheet."""

from __future__ import annotations

from typing import Any

from wiregen.reading.banks import spell
from wiregen.reading.document import Items, Table, Text
from wiregen.reading.groups import field_name, group, line_end_values, listed, rating, screw_ways
from wiregen.reading.model import CableSheet, Calm, DataSheet, LineEndSheet, Part, Screw, Sheet, Terminal, Unit
from wiregen.reading.quantity import band

EVERY_LEAD = "all leads"
PARTS = ("coil", "motor", "diode", "varistor", "limiter", "zener", "tvs", "resistor", "capacitor", "rc", "fuse")
RATED = ("diode", "zener", "limiter", "fuse")  # parts whose rating is a current, maybe with volts
PART_UNITS: dict[str, tuple[Unit, ...]] = {
    "resistance": ("ohm",), "impedance": ("ohm",), "inductance": ("H",), "pulls-in": ("V",), "holds": ("V",),
    "lets-go": ("V",), "clamps": ("V",), "cold": ("ohm",), "warm": ("ohm",), "capacitance": ("F",),
}  # fmt: skip


def sheet(written: Table) -> Sheet:
    """The sheet of a table that satisfies the schema, its banks spelt out."""
    if written["is"] == "cable":
        return _cable(written)
    if written["is"] == "line-end":
        return LineEndSheet(
            type=str(written["type"]), name=_name(written), values=line_end_values(written), where=written.where
        )
    return _device(written)


def _name(written: Table) -> str:
    return str(written.get("name", written["type"]))


def _cable(written: Table) -> CableSheet:
    pairs = tuple((str(first), str(second)) for first, second in written.get("pairs", ()))
    return CableSheet(
        type=str(written["type"]),
        name=_name(written),
        cores=marks(written["cores"]),
        size=band(str(written["size"]), "m2"),
        where=written.where,
        pairs=pairs,
        screen=_optional(written, "screen"),
        single=written.get("single") == "true",
        link=_optional(written, "link"),
        stranded=_optional(written, "stranded"),
        diameter=band(str(written["diameter"]), "m") if "diameter" in written else None,
        reel=band(str(written["reel"]), "m") if "reel" in written else None,
        capacitance=band(str(written["capacitance"]), "F") if "capacitance" in written else None,
    )


def _device(written: Table) -> DataSheet:
    terminals = _terminals(written.get("terminals", Items()))
    unpowered = written.get("unpowered")
    return DataSheet(
        type=str(written["type"]),
        is_=str(written["is"]),
        name=_name(written),
        terminals=terminals,
        groups={str(name): group(name, body) for name, body in written.get("groups", Table()).items()},
        where=written.where,
        leads=_optional(written, "leads"),
        screw=_screw(written["screw"]) if "screw" in written else None,
        tied=tuple(marks(tie) for tie in written.get("tied", ())),
        inside=tuple(map(_part, written.get("inside", ()))),
        unpowered=None if unpowered is None else str(unpowered),  # type: ignore[arg-type]  # the schema's three words
        frees=_optional(written, "frees"),
        calm=_calm(written["calm"]) if "calm" in written else None,
        at_once={str(key): int(value) for key, value in written.get("at-once", Table()).items()},
        settings={str(key): listed(value) for key, value in written.get("settings", Table()).items()},
        jumper=_optional(written, "jumper"),
        pulled_off=_pulled_off(written.get("pulled-off"), terminals),
        mounting=texts(written.get("mounting")),
        lights=texts(written.get("lights")),
        reset=_optional(written, "reset"),
        first_start=listed(written.get("first-start", Items())),
    )


def _optional(written: Table, key: str) -> str | None:
    return str(written[key]) if key in written else None


def texts(written: Any) -> dict[str, str]:
    """A table of texts, or nothing, as a plain dict."""
    return {str(key): str(value) for key, value in (written or {}).items()}


def marks(written: Any) -> tuple[str, ...]:
    """Marks with their ranges spelt out."""
    return tuple(word for entry in listed(written) for word in spell(entry))


def _terminals(written: Items | Table) -> tuple[Terminal, ...]:
    if isinstance(written, Table):
        leads = [(word, str(colour)) for mark, colour in written.items() for word in spell(mark)]
        return tuple(Terminal(mark, ordinal, colour) for ordinal, (mark, colour) in enumerate(leads, 1))
    return tuple(Terminal(mark, ordinal) for ordinal, mark in enumerate(marks(written), 1))


def _screw(written: Text | Table) -> Screw:
    text = written if isinstance(written, Text) else written["wires"]
    more = written if isinstance(written, Table) else {}
    return Screw(
        screw_ways(str(text)),
        str(text),
        band(str(more["strip"]), "m") if "strip" in more else None,
        band(str(more["torque"]), "N m") if "torque" in more else None,
    )


def _part(written: Table) -> Part:
    kind = next(key for key in written if key in PARTS)
    first, second = written[kind]
    fields: dict[str, Any] = {}
    for key, value in written.items():
        if key in PART_UNITS:
            fields[field_name(key)] = band(str(value), *PART_UNITS[key])
        elif key != kind:
            fields[field_name(key)] = str(value)
    if kind in RATED and "rating" in written:
        rated = rating(str(written["rating"]))
        fields |= {"amps": rated.amps, "reverse": rated.volts}
    return Part(kind=str(kind), between=(str(first), str(second)), **fields)


def _calm(written: Table) -> Calm:
    return Calm(**{key: tuple(word for word in listed(value) if word != "none") for key, value in written.items()})


def _pulled_off(written: Text | Items | None, terminals: tuple[Terminal, ...]) -> tuple[str, ...]:
    """All terminals, none, or those listed."""
    if isinstance(written, Items):
        return marks(written)
    return tuple(terminal.mark for terminal in terminals) if written == EVERY_LEAD else ()
