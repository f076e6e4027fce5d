"""Invented data sheets for random doors: the groups keep their names, everything that is printed on the device varies.

A maker takes the chooser and the type's name and gives the sheet as plain values, ready to be written as YAML.  Marks are
numbers, words or lead colours; order, ties, screws, commons and settings differ from one sheet to the next.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol, TypeVar

Any_ = TypeVar("Any_")
Sheet = dict[str, Any]


class Choose(Protocol):
    """Where the randomness comes from: a seeded generator, or Hypothesis."""

    def number(self, least: int, most: int) -> int: ...
    def one(self, options: list[Any_]) -> Any_: ...
    def chance(self, percent: int) -> bool: ...
    def shuffled(self, items: list[Any_]) -> list[Any_]: ...


COLOURS = ["RD", "BK", "WH", "GN", "BU", "YE", "OG", "BN", "VT", "GY", "PK", "TQ"]
STRANGE = ["NO", "ON", "Y", "N", "01", "1.0", "0x1", "+A", "A-", "C/1", "12V", "no", "OFF", "~", "E", "x.y"]


class Marks:
    """Deals a mark to each role and writes the sheet's terminals."""

    def __init__(self, choose: Choose, roles: list[str], leads: int = 40, shuffle: bool = True) -> None:
        self.roles = choose.shuffled(roles) if shuffle and choose.chance(30) else list(roles)
        self.are_leads = len(roles) <= 30 and choose.chance(leads)
        way = choose.one(["numbers", "roles", "strange"]) if not self.are_leads else choose.one(["numbers", "roles"])
        names = [str(n) for n in range(1, len(roles) + 1)] if way == "numbers" else [r.upper() for r in self.roles]
        if way == "strange":
            names = [
                s if s not in names and choose.chance(25) else n
                for n, s in zip(names, STRANGE + names[len(STRANGE) :], strict=False)
            ]
        self.of = dict(zip(self.roles, names, strict=True))
        assert len(set(names)) == len(names)
        first = choose.shuffled(COLOURS)
        codes = first + [f"{base}-{tracer}" for base in first for tracer in first if base != tracer]
        self._colours = [choose.one(codes[:2]) for _ in roles] if choose.chance(15) else codes[: len(roles)]
        self._screw = choose.one([None, "1 x 1.5 mm2", "2 x 1.0 mm2", "1 x 2.5 mm2 or 2 x 0.75 mm2", "3 x 1.0 mm2"])

    def __getitem__(self, role: str) -> str:
        return self.of[role]

    def printed(self) -> Sheet:
        names = [self.of[r] for r in self.roles]
        if self.are_leads:
            return {"terminals": dict(zip(names, self._colours, strict=True)), "leads": "300 mm 0.25 mm2"}
        return {"terminals": names, **({"screw": {"wires": self._screw, "strip": "6 mm"}} if self._screw else {})}

    def tied(self, choose: Choose, roles: list[str], percent: int = 60) -> Sheet:
        return {"tied": [[self.of[r] for r in roles]]} if len(roles) > 1 and choose.chance(percent) else {}


def _sheet(type_: str, is_: str, marks: Marks, groups: Sheet, **more: Any) -> Sheet:
    return {"type": type_, "is": is_, "name": type_.replace("-", " ").capitalize(), **marks.printed(), "groups": groups, **more}


def controller(choose: Choose, type_: str) -> Sheet:
    inputs, relays, drives, levels = 4, 2, 2, 2
    commons = choose.one([["0v"], ["0v", "0v-2"], ["0v", "0v-2", "0v-3"]])
    roles = [
        "v+",
        "v-",
        "12v",
        *commons,
        "r+",
        "r-",
        *(f"{r}{n}" for n in range(1, relays + 1) for r in ("com", "no", "nc")),
        *(f"in-{n}" for n in range(1, inputs + 1)),
        "a",
        "b",
        "sh",
        "d0",
        "d1",
        "tx",
        "rx",
        "ca",
        "cb",
        *(f"led-{n}" for n in range(1, drives + 1)),
        *(f"q-{n}" for n in range(1, levels + 1)),
    ]
    m = Marks(choose, roles, leads=25)
    ref = lambda: m[choose.one(commons)]  # noqa: E731
    resting = {"sense": "relay-sense"}
    rating = {"dc-12": "3 A 30 V", "dc-13": "1.5 A 30 V", "ac-15": "1 A 30 V"}
    bands = {
        "plain": {"closed": "0..1 V", "open": "3.5..5 V"},
        "supervised": {"short": "0..0.6 V", "closed": "1.1..2 V", "open": "2.2..3.1 V", "cut": "4.2..5 V"},
    }
    groups: Sheet = {
        "lan": {"kind": "jack", "mark": choose.one(["J1", "LAN", "ETH"]), "poe": "in", "poe-class": 4, "own": "3.4 W ±10 %"},
        "dc": {"kind": "takes", "plus": m["v+"], "minus": m["v-"], "current": "dc", "range": "10.8..28.8 V", "load": "4 W"},
        "out": {"kind": "gives", "plus": m["12v"], "minus": m["0v"], "current": "dc", "volts": "12 V ±4 %", "limit": "1.1 A",
                "overload": "folds", "out-of": ["lan", "dc"], "efficiency": "86 %", "circuit": "class 2"},
        "reader": {"kind": "gives", "plus": m["r+"], "minus": m["r-"], "current": "dc", "volts": "12 V ±4 %", "limit": "250 mA",
                   "overload": "folds alone", "out-of": ["lan", "dc"], "efficiency": "86 %", "circuit": "class 2"},
        **{f"relay-{n}": {"kind": "changeover", "common": m[f"com{n}"], "make": m[f"no{n}"], "break": m[f"nc{n}"],
                          "moves-when": ["powered", "grant"], **(resting if n == 1 else {}), "rating": rating}
           for n in range(1, relays + 1)},
        **{f"aux-{n}": {"kind": "input", "in": m[f"in-{n}"], "ref": ref(), "pull-up": "2.2 kohm to 5 V", **bands}
           for n in range(1, inputs + 1)},
        "line": {"kind": "line", "protocol": "osdp", "a": m["a"], "b": m["b"], "ref": ref(), "screen": m["sh"],
                 "line-end": "120 ohm by setting", "drops": 4},
        "w1": {"kind": "line", "protocol": "wiegand", "d0": m["d0"], "d1": m["d1"], "ref": ref(), "screen": m["sh"]},
        "serial": {"kind": "line", "protocol": "rs-232", "tx": m["tx"], "rx": m["rx"], "ref": ref()},
        "coded": {"kind": "line", "protocol": "coded", "a": m["ca"], "b": m["cb"], "ref": ref()},
        **{f"led-{n}": {"kind": "drive", "out": m[f"led-{n}"], "ref": ref(), "sinks": "50 mA"} for n in range(1, drives + 1)},
        **{f"q-{n}": {"kind": "drive", "out": m[f"q-{n}"], "ref": ref(), "level": "12 V 80 mA", "boot": "low"}
           for n in range(1, levels + 1)},
    }  # fmt: skip
    settings = {
        "relay-sense": ["moves on grant", "rests on grant"],
        **{f"aux-{n}": ["plain", "supervised"] for n in range(1, 5)},
    }
    more = {"pulled-off": "all leads"} if m.are_leads else {}
    return _sheet(type_, "controller", m, groups, settings=settings, **m.tied(choose, [*commons, "v-", "r-"], 80), **more)


def two_door_controller(choose: Choose, type_: str) -> Sheet:
    roles = [
        "v+",
        "v-",
        "12v",
        "0v",
        *(f"{r}{n}" for n in (1, 2) for r in ("com", "no", "nc", "d", "e", "g", "w0-", "w1-", "l")),
    ]
    m = Marks(choose, roles, leads=0)
    pull = {"pull-up": "2.2 kohm to 5 V", "plain": {"closed": "0..1 V", "open": "3.5..5 V"}}
    groups: Sheet = {
        "lan": {"kind": "jack", "mark": "LAN", "poe": "none"},
        "dc": {"kind": "takes", "plus": m["v+"], "minus": m["v-"], "current": "dc", "range": "11..28.8 V", "load": "6 W"},
        "acc": {"kind": "gives", "plus": m["12v"], "minus": m["0v"], "current": "dc", "volts": "12 V ±5 %", "limit": "700 mA",
                "overload": "folds", "out-of": "dc", "efficiency": "88 %", "circuit": "class 2"},
        **{f"relay-{n}": {"kind": "changeover", "common": m[f"com{n}"], "make": m[f"no{n}"], "break": m[f"nc{n}"],
                          "moves-when": ["powered", "grant"], "rating": {"dc-12": "3 A 30 V"}} for n in (1, 2)},
        **{f"door-{n}": {"kind": "input", "in": m[f"d{n}"], "ref": m[f"g{n}"], **pull} for n in (1, 2)},
        **{f"exit-{n}": {"kind": "input", "in": m[f"e{n}"], "ref": m[f"g{n}"], **pull} for n in (1, 2)},
        **{f"w-{n}": {"kind": "line", "protocol": "wiegand", "d0": m[f"w0-{n}"], "d1": m[f"w1-{n}"], "ref": m[f"g{n}"]}
           for n in (1, 2)},
        **{f"led-{n}": {"kind": "drive", "out": m[f"l{n}"], "ref": m[f"g{n}"], "sinks": "50 mA"} for n in (1, 2)},
    }  # fmt: skip
    return _sheet(type_, "controller", m, groups, tied=[[m[r] for r in ("v-", "0v", "g1", "g2")]])


def board(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-", "a", "b", "c", "no", "nc"], leads=15)
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "9..16 V", "load": "45 mA ±15 %"},
        "coded": {"kind": "line", "protocol": "coded", "a": m["a"], "b": m["b"], "ref": m["-"]},
        "relay": {"kind": "changeover", "common": m["c"], "make": m["no"], "break": m["nc"], "moves-when": ["powered", "coded"],
                  "rating": {"dc-12": "3 A 30 V", "dc-13": "1.5 A 30 V"}},
    }  # fmt: skip
    return _sheet(type_, "board", m, groups, **{"first-start": ["pair with the controller within 60 s of power"]})


def line_module(choose: Choose, type_: str) -> Sheet:
    """Eight contacts behind a data line."""
    roles = ["+", "-", "a", "b", "g", "sh", *(f"{r}{n}" for n in range(1, 9) for r in ("c", "no", "nc"))]
    m = Marks(choose, roles, leads=0)
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "10..28.8 V", "load": "1.2 W"},
        "line": {"kind": "line", "protocol": "osdp", "a": m["a"], "b": m["b"], "ref": m["g"], "screen": m["sh"]},
        **{f"c-{n}": {"kind": "changeover", "common": m[f"c{n}"], "make": m[f"no{n}"], "break": m[f"nc{n}"],
                      "moves-when": ["powered", "line"], "rating": {"dc-12": "2 A 30 V"}} for n in range(1, 9)},
    }  # fmt: skip
    return _sheet(type_, "relay", m, groups, **m.tied(choose, ["-", "g"], 70))


def drive_module(choose: Choose, type_: str) -> Sheet:
    """Four contacts, an input each."""
    make_only = choose.chance(40)
    each = ("c", "no") if make_only else ("c", "no", "nc")
    m = Marks(choose, ["+", "-", *(f"i{n}" for n in range(1, 5)), *(f"{r}{n}" for n in range(1, 5) for r in each)], leads=0)
    moves = lambda n: ["powered", f"in-{n}"]  # noqa: E731
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "10.8..13.2 V", "load": "8 mA"},
        **{f"in-{n}": {"kind": "input", "in": m[f"i{n}"], "ref": m["-"], "pull-down": "10 kohm", "active": "above 2.2 V"}
           for n in range(1, 5)},
        **{f"c-{n}": ({"kind": "contact", "between": [m[f"c{n}"], m[f"no{n}"]], "closed-when": moves(n)} if make_only else
                      {"kind": "changeover", "common": m[f"c{n}"], "make": m[f"no{n}"], "break": m[f"nc{n}"],
                       "moves-when": moves(n)})
           | {"rating": {"dc-12": "5 A 30 V", "dc-13": "2 A 30 V"}} for n in range(1, 5)},
    }  # fmt: skip
    return _sheet(type_, "relay", m, groups)


def coil_relay(choose: Choose, type_: str) -> Sheet:
    poles = choose.number(2, 4)
    m = Marks(choose, ["a1", "a2", *(f"{n}{k}" for n in range(1, poles + 1) for k in (1, 2, 4))], leads=0, shuffle=False)
    groups: Sheet = {
        "coil": {"kind": "takes", "plus": m["a1"], "minus": m["a2"], "current": "dc", "range": "10.5..28.8 V"},
        **{f"c-{n}": {"kind": "changeover", "common": m[f"{n}1"], "make": m[f"{n}4"], "break": m[f"{n}2"],
                      "moves-when": ["powered"],
                      "rating": {"dc-12": "6 A 30 V", "dc-13": "2 A 30 V"}} for n in range(1, poles + 1)},
    }  # fmt: skip
    inside = [
        {"coil": [m["a1"], m["a2"]], "resistance": "1.1 kohm ±10 %", "pulls-in": "9 V", "holds": "6 V", "lets-go": "1.4 V"}
    ]
    calm = {"fitted": "diode"} if choose.chance(70) else {"fitted": "none", "wants": "diode"}
    return _sheet(type_, "relay", m, groups, inside=inside, calm=calm)


def lock(choose: Choose, type_: str, unpowered: str) -> Sheet:
    """A coil with one of the signalling contacts; `unpowered` is what it does without power."""
    tells = choose.one(["none", "contact", "changeover"])
    extra = {"none": [], "contact": ["s1", "s2"], "changeover": ["c", "no", "nc"]}[tells]
    m = Marks(choose, ["+", "-", *extra], leads=60)
    smart = choose.chance(25)
    coil: Sheet = {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "10.5..28.8 V"}
    more: Sheet = {"unpowered": unpowered}
    if smart:
        coil |= {"load": "300 mA ±8 %", "inrush": "6 A 8 ms", "capacitance": "220 uF", "esr": "0.3 ohm"}
        more["calm"] = {"fitted": "varistor", "wants": "limiter", "never": "diode"}
    else:
        coil["either-way"] = choose.one(["true", "false"])
        more["inside"] = [{"coil": [m["+"], m["-"]], "resistance": f"{choose.number(60, 200)} ohm ±5 %", "pulls-in": "9 V",
                           "holds": "6 V", "lets-go": "1.5 V", "duty": "continuous"}]  # fmt: skip
        more["calm"] = choose.one(
            [
                {"fitted": "none", "wants": "diode"},
                {"fitted": "none", "wants": ["diode", "varistor"]},
                {"fitted": "varistor", "never": "diode"},
                {"fitted": "none", "wants": "varistor", "never": "diode"},
            ]
        )
    groups: Sheet = {"coil": coil}
    if tells == "contact":
        groups["tell"] = {
            "kind": "contact",
            "between": [m["s1"], m["s2"]],
            "closed-when": ["latched"],
            "rating": {"dc-12": "0.3 A 30 V"},
        }
    elif tells == "changeover":
        groups["tell"] = {"kind": "changeover", "common": m["c"], "make": m["no"], "break": m["nc"], "moves-when": ["latched"],
                          "rating": {"dc-12": "0.3 A 30 V"}}  # fmt: skip
    return _sheet(type_, "lock", m, groups, **more)


def strike(choose: Choose, type_: str) -> Sheet:
    return lock(choose, type_, "held")


def magnet(choose: Choose, type_: str) -> Sheet:
    return lock(choose, type_, "free")


def ac_strike(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["1", "2"], leads=50)
    inside = [
        {
            "coil": [m["1"], m["2"]],
            "impedance": "14 ohm ±10 %",
            "resistance": "4.5 ohm ±10 %",
            "pulls-in": "9 V",
            "lets-go": "3 V",
        }
    ]
    groups: Sheet = {"coil": {"kind": "takes", "poles": [m["1"], m["2"]], "current": "ac", "range": "10..14 V"}}
    calm = {"fitted": "none", "wants": "varistor", "never": "diode"}
    return _sheet(type_, "lock", m, groups, inside=inside, unpowered="held", calm=calm)


def ac_supply(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["l", "n", "0", "12"], leads=0)
    groups: Sheet = {
        "mains": {"kind": "takes", "live": m["l"], "neutral": m["n"], "current": "mains", "load": "15 W"},
        "out": {"kind": "gives", "poles": [m["12"], m["0"]], "current": "ac", "volts": "12 V ±10 %", "limit": "1 A",
                "overload": "thermal", "out-of": "mains", "circuit": "class 2"},
    }  # fmt: skip
    return _sheet(type_, "supply", m, groups)


def dc_supply(choose: Choose, type_: str) -> Sheet:
    """A supply at the door, with a fire input and a driven fault line."""
    m = Marks(choose, ["l", "n", "pe", "+", "-", "f1", "f2", "fl", "fg"], leads=0)
    groups: Sheet = {
        "mains": {"kind": "takes", "live": m["l"], "neutral": m["n"], "earth": m["pe"], "current": "mains", "load": "60 W"},
        "out": {"kind": "gives", "plus": m["+"], "minus": m["-"], "current": "dc", "volts": "12 V ±3 %", "limit": "3 A",
                "overload": "folds", "out-of": "mains", "circuit": "class 2"},
        "fire": {"kind": "input", "in": m["f1"], "ref": m["f2"], "active": "open", "does": "drops out"},
        "fault": {"kind": "drive", "out": m["fl"], "ref": m["fg"], "sinks": "50 mA"},
    }  # fmt: skip
    return _sheet(type_, "supply", m, groups, **m.tied(choose, ["-", "fg"], 50))


def splitter(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-"], leads=40)
    groups: Sheet = {
        "in": {"kind": "jack", "mark": "IN", "poe": "in", "poe-class": 4, "own": "0.6 W"},
        "data": {"kind": "jack", "mark": "OUT", "poe": "none"},
        "out": {"kind": "gives", "plus": m["+"], "minus": m["-"], "current": "dc", "volts": "12 V ±5 %", "limit": "1.7 A",
                "overload": "hiccup", "out-of": "in", "efficiency": "85 %", "circuit": "class 2"},
    }  # fmt: skip
    return _sheet(type_, "supply", m, groups)


def mid_span(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["l", "n"], leads=0)
    groups: Sheet = {
        "mains": {"kind": "takes", "live": m["l"], "neutral": m["n"], "current": "mains", "load": "75 W"},
        "data": {"kind": "jack", "mark": "DATA", "poe": "none"},
        "out": {"kind": "jack", "mark": "PWR", "poe": "out", "poe-class": 6},
    }
    return _sheet(type_, "supply", m, groups)


def contact(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["1", "2"], leads=80)
    tell: Sheet = {"kind": "contact", "between": [m["1"], m["2"]], "closed-when": ["shut"], "rating": {"dc-12": "0.1 A 30 V"}}
    if choose.chance(30):
        tell["line-end"] = {"series": "1 kohm ±1 %", "across": "1 kohm ±1 %"}
    return _sheet(type_, "contact", m, {"tell": tell})


def swap_contact(choose: Choose, type_: str) -> Sheet:
    """A change-over contact on the door."""
    m = Marks(choose, ["c", "no", "nc"], leads=60)
    tell = {"kind": "changeover", "common": m["c"], "make": m["no"], "break": m["nc"], "moves-when": ["shut"]}
    return _sheet(type_, "contact", m, {"tell": tell})


def button(choose: Choose, type_: str) -> Sheet:
    swap = choose.chance(50)
    tells = ["tc", "tno", "tnc"] if swap else ["t1", "t2"]
    m = Marks(choose, [*(f"{n}{k}" for n in range(1, 3) for k in (1, 2)), *tells], leads=20)
    closed = {"closed-when": ["not pressed"], "stays": "30 s", "rating": {"dc-12": "5 A 30 V", "dc-13": "2 A 30 V"}}
    groups: Sheet = {f"pole-{n}": {"kind": "contact", "between": [m[f"{n}1"], m[f"{n}2"]], **closed} for n in (1, 2)}
    groups["tell"] = (
        {"kind": "changeover", "common": m["tc"], "make": m["tno"], "break": m["tnc"], "moves-when": ["pressed"]} if swap else
        {"kind": "contact", "between": [m["t1"], m["t2"]], "closed-when": ["pressed"]}
    ) | {"rating": {"dc-12": "1 A 30 V"}}  # fmt: skip
    return _sheet(type_, "button", m, groups)


def sensor(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-", "3", "4", "5", "6"], leads=25)
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "10.8..30 V", "load": "35 mA"},
        "chain": {"kind": "contact", "between": [m["3"], m["4"]], "closed-when": ["powered", "not motion"], "stays": "5 s",
                  "rating": {"dc-12": "1 A 30 V", "dc-13": "0.5 A 30 V"}},
        "tell": {"kind": "contact", "between": [m["5"], m["6"]], "closed-when": ["motion"], "rating": {"dc-12": "0.1 A 30 V"}},
    }  # fmt: skip
    return _sheet(type_, "sensor", m, groups)


def osdp_reader(choose: Choose, type_: str) -> Sheet:
    own_ground = choose.chance(40)
    m = Marks(choose, ["+", "-", "a", "b", "t", *(["g"] if own_ground else [])], leads=85)
    ground = "g" if own_ground else "-"
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "8..16 V", "load": "110 mA"},
        "line": {"kind": "line", "protocol": "osdp", "a": m["a"], "b": m["b"], "ref": m[ground]},
        "tamper": {
            "kind": "contact",
            "between": [m["t"], m["-"]],
            "closed-when": ["not tampered"],
            "rating": {"dc-12": "50 mA 16 V"},
        },
    }
    return _sheet(type_, "reader", m, groups, **{"pulled-off": "all leads"} if m.are_leads else {})


def wiegand_reader(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-", "d0", "d1", "led", "snd", "sh"], leads=85)
    pull = {"pull-up": "10 kohm to 5 V", "active": "closed"}
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "5..16 V", "load": "90 mA"},
        "line": {"kind": "line", "protocol": "wiegand", "d0": m["d0"], "d1": m["d1"], "ref": m["-"], "screen": m["sh"]},
        "led": {"kind": "input", "in": m["led"], "ref": m["-"], **pull},
        "sound": {"kind": "input", "in": m["snd"], "ref": m["-"], **pull},
    }
    return _sheet(type_, "reader", m, groups)


def serial_reader(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-", "tx", "rx"], leads=85)
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "9..15 V", "load": "140 mA"},
        "line": {"kind": "line", "protocol": "rs-232", "tx": m["tx"], "rx": m["rx"], "ref": m["-"]},
    }
    return _sheet(type_, "reader", m, groups)


def converter(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-", "d0", "d1", "g", "a", "b"], leads=10)
    groups: Sheet = {
        "power": {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "9..16 V", "load": "25 mA"},
        "reader": {"kind": "line", "protocol": "wiegand", "d0": m["d0"], "d1": m["d1"], "ref": m["g"]},
        "line": {"kind": "line", "protocol": "osdp", "a": m["a"], "b": m["b"], "ref": m["-"]},
    }
    return _sheet(type_, "board", m, groups, **m.tied(choose, ["-", "g"], 60))


def line_protector(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["h0", "h1", "hg", "f0", "f1", "fg", "e"], leads=0)
    groups: Sheet = {
        "house": {"kind": "line", "protocol": "wiegand", "d0": m["h0"], "d1": m["h1"], "ref": m["hg"]},
        "field": {"kind": "line", "protocol": "wiegand", "d0": m["f0"], "d1": m["f1"], "ref": m["fg"]},
        "earth": {"kind": "earth", "mark": m["e"]},
    }
    return _sheet(type_, "protector", m, groups, tied=[[m["h0"], m["f0"]], [m["h1"], m["f1"]], [m["hg"], m["fg"]]])


def power_protector(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["1", "2", "3", "4", "e"], leads=0)
    groups: Sheet = {
        "a": {"kind": "pass", "between": [m["1"], m["3"]], "rating": {"dc": "5 A"}},
        "b": {"kind": "pass", "between": [m["2"], m["4"]], "rating": {"dc": "5 A"}},
        "earth": {"kind": "earth", "mark": m["e"]},
    }
    return _sheet(type_, "protector", m, groups)


def machine(choose: Choose, type_: str) -> Sheet:
    """Something with a motor of its own: mains, inputs, a limit contact, an earth."""
    m = Marks(choose, ["l", "n", "pe", "op", "cm", "fi", "fc", "l1", "l2"], leads=0)
    groups: Sheet = {
        "mains": {"kind": "takes", "live": m["l"], "neutral": m["n"], "earth": m["pe"], "current": "mains", "load": "120 W"},
        "open": {"kind": "input", "in": m["op"], "ref": m["cm"], "active": "closed", "does": "opens"},
        "fire": {
            "kind": "input",
            "in": m["fi"],
            "ref": m["fc"],
            "active": choose.one(["open", "closed"]),
            "does": "opens and stays",
        },
        "limit": {"kind": "contact", "between": [m["l1"], m["l2"]], "closed-when": ["open"], "rating": {"dc-12": "0.5 A 30 V"}},
        "earth": {"kind": "earth", "mark": m["pe"]},
    }
    return _sheet(type_, "machine", m, groups, unpowered="stays", **m.tied(choose, ["cm", "fc"], 50))


def sounder(choose: Choose, type_: str) -> Sheet:
    m = Marks(choose, ["+", "-"], leads=70)
    takes = {"kind": "takes", "plus": m["+"], "minus": m["-"], "current": "dc", "range": "10..28.8 V", "load": "45 mA"}
    return _sheet(type_, "sounder", m, {"power": takes})


def hinge(choose: Choose, type_: str) -> Sheet:
    cores = choose.number(8, 14)
    roles = [f"{side}{n}" for side in ("f", "d") for n in range(1, cores + 1)]
    m = Marks(choose, roles, leads=100, shuffle=False)
    groups: Sheet = {
        f"core-{n}": {"kind": "pass", "between": [m[f"f{n}"], m[f"d{n}"]], "size": "0.5 mm2", "rating": {"dc": "3 A"}}
        for n in range(1, cores + 1)
    }
    return _sheet(type_, "transfer", m, groups)


MAKERS: dict[str, Callable[[Choose, str], Sheet]] = {
    "controller": controller, "two-door": two_door_controller, "board": board, "line-module": line_module,
    "drive-module": drive_module, "coil-relay": coil_relay, "strike": strike, "magnet": magnet, "ac-strike": ac_strike,
    "ac-supply": ac_supply, "dc-supply": dc_supply, "splitter": splitter, "mid-span": mid_span, "contact": contact,
    "swap-contact": swap_contact, "button": button, "sensor": sensor, "osdp-reader": osdp_reader,
    "wiegand-reader": wiegand_reader, "serial-reader": serial_reader, "converter": converter,
    "line-protector": line_protector, "power-protector": power_protector, "machine": machine, "sounder": sounder,
    "hinge": hinge,
}  # fmt: skip
