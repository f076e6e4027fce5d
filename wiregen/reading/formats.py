"""What the `format` words of the schemas mean: each is a function that takes a text or raises Unfit with both halves of a
message.  Quantities, names that become file names, and what relations point at are all checked here, so that a spec that
passes its schema can be built without another look.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from typing import Any

import jsonschema

from wiregen.reading import groups
from wiregen.reading.banks import spell
from wiregen.reading.model import Unit
from wiregen.reading.quantity import Unfit, band
from wiregen.reading.shared import SITE
from wiregen.reading.targets import RESERVED, alternatives, target

# IEC 60757, Code for designation of colours.
COLOURS = ("BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR")
_COLOUR = "|".join(COLOURS)

# Names that some file systems keep for themselves, whatever follows the first point.
KEPT_NAMES = frozenset(["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))])

checker = jsonschema.FormatChecker(formats=())


def _format(name: str) -> Callable[[Callable[[str], Any]], Callable[[str], Any]]:
    def register(check: Callable[[str], Any]) -> Callable[[str], Any]:
        def passes(value: object) -> bool:
            if isinstance(value, str):
                check(value)
            return True

        checker.checks(name, raises=Unfit)(passes)
        return check

    return register


def _quantity(name: str, *units: Unit) -> None:
    _format(name)(lambda value: band(str(value), *units))


for _name, _units in {
    "length": ("m",), "wire-size": ("m2",), "voltage": ("V",), "current": ("A",), "power": ("W",),
    "current-or-power": ("A", "W"), "resistance": ("ohm",), "time": ("s",), "capacitance": ("F",),
    "inductance": ("H",), "temperature": ("K",),
    "charge": ("A h",), "torque": ("N m",), "share": ("1",), "force": ("N",), "mass": ("kg",),
}.items():  # fmt: skip
    _quantity(_name, *_units)  # type: ignore[arg-type]

for _name, _reader in {
    "surge": groups.surge, "rating": groups.rating, "limit": groups.limit, "pull-up": groups.pull_up, "level": groups.level,
    "budget": groups.budget, "volts": groups.volts, "screw": groups.screw_ways, "leads": groups.leads, "duty": groups.duty,
}.items():  # fmt: skip
    _format(_name)(_reader)


@_format("id")
def door_id(value: str) -> None:
    """A door's id names its files, so it must stay inside the output folder on every file system."""
    if re.fullmatch(r"\w(?:[\w.-]{0,22}\w)?", value) is None:
        raise Unfit(
            f"{value!r} cannot be a file name" if value else "the id is empty", "use letters, digits, - and _, such as D104"
        )
    if value.split(".")[0].casefold() in KEPT_NAMES:
        raise Unfit(f"{value} is a name that some file systems keep for themselves", "take another, such as D104")
    if value.casefold() == SITE:
        raise Unfit(f"{value} is the name of what the doors share", "take another, such as D104")


@_format("name")
def name(value: str) -> None:
    if re.fullmatch(r"\w(?:[\w.-]*\w)?", value) is None:
        raise Unfit(f"{value!r} is no name", "use letters, digits, - and ., without blanks, such as strike-12")


def is_name(value: str) -> bool:
    """Whether it could name a door or a kit."""
    try:
        door_id(value)
    except Unfit:
        return False
    return True


@_format("designation")
def designation(value: str) -> None:
    if re.fullmatch(r"[A-Za-z]{1,4}[0-9]{1,4}", value) is None:
        raise Unfit(f"{value} is no designation", "letters, then a number, such as A1 or FB2")


@_format("designation-or-bank")
def designation_or_bank(value: str) -> None:
    try:
        words = spell(value)
    except ValueError as error:
        raise Unfit(str(error), "write first..last, such as Y1..8") from None
    for word in words:
        designation(word)


@_format("place-name")
def place_name(value: str) -> None:
    if re.fullmatch(r"\w(?:[\w-]*\w)?", value) is None:
        raise Unfit(f"{value} is no place", "use letters, digits and -, such as leaf-1")


@_format("place")
def place(value: str) -> None:
    door, slash, rest = value.partition("/")
    if slash:
        door_id(door)
    place_name(rest if slash else door)


@_format("target")
def one_target(value: str) -> None:
    try:
        target(value)
    except ValueError:
        raise Unfit(
            f"{value} points at nothing", "write a device, a group or a terminal: A1, A1.relay, A1:3, D117/A1.door"
        ) from None


@_format("targets")
def side_by_side(value: str) -> None:
    for part in alternatives(value, str):
        one_target(part)


@_format("terminal")
def terminal(value: str) -> None:
    one_target(value)
    if target(value).terminal is None:
        raise Unfit(f"{value} is no terminal", "write designation:mark, such as A1:3")


@_format("group-name")
def group_name(value: str) -> None:
    if value in RESERVED or re.fullmatch(r"\w(?:[\w-]*\w)?", value) is None:
        why = "is a word of the language" if value in RESERVED else "is no name of a group"
        raise Unfit(f"{value} {why}", "use letters, digits and -, such as relay-1")


@_format("group-name-or-pole")
def group_name_or_pole(value: str) -> None:
    if value not in ("plus", "minus"):
        group_name(value)


@_format("setting-name")
def setting_name(value: str) -> None:
    name(value)


@_format("step")
def step(value: str) -> None:
    if value[:1].isdigit():
        band(str(value), "s")
    else:
        designation(value)


@_format("condition")
def condition(value: str) -> None:
    if re.fullmatch(r"(?:not )?[\w-]+(?: or [\w-]+)*", value) is None:
        raise Unfit(f"{value} is no condition", "write a word, maybe with not or or: not pressed, open or inner")


@_format("stay")
def stay(value: str) -> None:
    if value != "until reset":
        band(str(value), "s")


@_format("active")
def active(value: str) -> None:
    if value.startswith("above "):
        band(str(value[6:]), "V")
    elif value not in ("closed", "open"):
        raise Unfit(f"{value} makes nothing active", "write closed, open, or above 2.2 V")


@_format("date")
def date(value: str) -> None:
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", value) is None:
            raise ValueError
        datetime.date.fromisoformat(value)
    except ValueError:
        raise Unfit(f"{value} is no date", "write year-month-day, such as 2026-11-20") from None


@_format("count")
def count(value: str) -> None:
    if re.fullmatch(r"\d{1,6}", value) is None:
        raise Unfit(f"{value} is no whole number", "write digits only, such as 12")


@_format("poe-class")
def poe_class(value: str) -> None:
    if re.fullmatch(r"[0-8]", value) is None:
        raise Unfit(f"{value} is no class of IEEE 802.3", "write 0 to 8, such as 4")


@_format("efficiency")
def efficiency(value: str) -> None:
    share = band(str(value), "1")
    if share.least <= 0 or share.most > 1:
        raise Unfit(f"{value} is no efficiency", "write more than 0 % and at most 100 %, such as 86 %")


@_format("colour")
def colour(value: str) -> None:
    if re.fullmatch(rf"GN-YE|(?:{_COLOUR})(?:-(?:{_COLOUR}))?", value) is None:
        raise Unfit(f"{value} is no colour of IEC 60757", f"write {', '.join(COLOURS)}; with a tracer WH-RD; for earth GN-YE")


@_format("lead-colour")
def lead_colour(value: str) -> None:
    if value not in ("bare", "natural"):
        colour(value)


@_format("core")
def core(value: str) -> None:
    """A core goes by its colour, its colour and a printed number, or the number alone."""
    for word in spell(value):
        if not word.isdigit():
            lead_colour(re.sub(r"\d+$", "", word))


@_format("setting")
def setting(value: str) -> None:
    if ".." not in value:
        raise Unfit(f"{value} is neither a list of choices nor a band", "write [one, other] or a band such as 0..5 s")
