"""What a random site has in its store and in its closets: cables, calmers, shared devices, all with fixed marks."""

from __future__ import annotations

from typing import Any

Sheet = dict[str, Any]


def _cable(type_: str, cores: list[str], size: str, **more: Any) -> Sheet:
    return {"type": type_, "is": "cable", "name": type_, "cores": cores, "size": size, **more}


STOCK_SHEETS: list[Sheet] = [
    _cable("power-2", ["RD", "BK"], "1.0 mm2"),
    _cable("power-4", ["RD", "BK", "WH", "GN"], "1.0 mm2"),
    _cable("signal-6", ["RD", "BK", "YE", "GN", "WH", "BU"], "0.22 mm2"),
    _cable("signal-12", ["RD", "BK", "YE", "GN", "WH", "BU", "OG", "BN", "VT", "GY", "PK", "TQ"], "0.22 mm2"),
    _cable("line-4", ["RD", "BK", "GN", "WH"], "0.22 mm2", pairs=[["GN", "WH"], ["RD", "BK"]], screen="drain"),
    _cable("line-8", ["RD", "BK", "GN", "WH", "BU", "OG", "BN", "WH-BN"], "0.22 mm2", screen="drain"),
    _cable("old-8", ["WH", "BN", "GN", "YE", "GY", "PK", "BU", "RD"], "0.3 mm2"),
    _cable("plug-cable", ["WH-OG", "OG", "WH-GN", "BU", "WH-BU", "GN", "WH-BN", "BN"], "0.2 mm2", link="both ends 8-way plug"),
    _cable("box-wire", ["RD", "BK", "WH"], "0.75 mm2", single="true"),
    {"type": "diode", "is": "calmer", "name": "diode", "terminals": {"K": "bare", "A": "bare"},
     "inside": [{"diode": ["A", "K"], "rating": "1 A 400 V"}]},
    {"type": "varistor", "is": "calmer", "name": "varistor", "terminals": {"a": "bare", "b": "bare"},
     "inside": [{"varistor": ["a", "b"], "clamps": "40 V"}]},
    {"type": "limiter", "is": "calmer", "name": "limiter", "terminals": {"1": "bare", "2": "bare"},
     "inside": [{"limiter": ["1", "2"], "cold": "10 ohm ±20 %", "warm": "0.6 ohm ±20 %", "rating": "2 A"}]},
    {"type": "line-end", "is": "line-end", "name": "line end", "series": "1 kohm ±1 %", "across": "1 kohm ±1 %"},
]  # fmt: skip

SWITCH: Sheet = {
    "type": "switch", "is": "switch", "name": "switch, 48 ports", "terminals": ["L", "N", "PE"],
    "groups": {"mains": {"kind": "takes", "live": "L", "neutral": "N", "earth": "PE", "current": "mains", "load": "280 W"},
               "p-1..48": {"kind": "jack", "mark": "1..48", "poe": "out", "poe-class": 4, "budget": "740 W together"}},
}  # fmt: skip
PATCH: Sheet = {
    "type": "patch", "is": "panel", "name": "patch panel", "terminals": [],
    "groups": {"p-1..48": {"kind": "pass", "jacks": ["front 1..48", "back 1..48"]}},
}  # fmt: skip
SUPPLY: Sheet = {
    "type": "supply", "is": "supply", "name": "central supply",
    "terminals": ["L", "N", "PE", *(f"F{n}{sign}" for n in range(1, 25) for sign in "+-")], "screw": {"wires": "1 x 4 mm2"},
    "groups": {"mains": {"kind": "takes", "live": "L", "neutral": "N", "earth": "PE", "current": "mains", "load": "260 W"},
               "f-1..24": {"kind": "gives", "plus": "F1..24+", "minus": "F1..24-", "current": "dc", "volts": "12 V ±2 %",
                           "limit": "1 A fuse", "overload": "fuse", "out-of": "mains", "circuit": "class 2"}},
    "tied": [[f"F{n}-" for n in range(1, 25)]],
}  # fmt: skip
FIRE: Sheet = {
    "type": "fire", "is": "interface", "name": "fire contacts",
    "terminals": [f"{r}{n}" for n in range(1, 33) for r in ("C", "NO", "NC")], "screw": {"wires": "1 x 2.5 mm2"},
    "groups": {"c-1..32": {"kind": "changeover", "common": "C1..32", "make": "NO1..32", "break": "NC1..32",
                           "moves-when": ["not fire"], "stays": "until reset",
                           "rating": {"dc-12": "3 A 30 V", "dc-13": "1 A 30 V"}}},
}  # fmt: skip
EARTH: Sheet = {
    "type": "earth", "is": "earth", "name": "earth bar", "terminals": [f"E{n}" for n in range(1, 49)],
    "groups": {"e-1..48": {"kind": "earth", "mark": "E1..48"}}, "tied": [[f"E{n}" for n in range(1, 49)]],
}  # fmt: skip

STOCK: Sheet = {
    "power": ["power-2", "power-4"], "signal": ["signal-6", "signal-12"], "line": ["line-4", "line-8"], "link": "plug-cable",
    "wire": "box-wire", "calm": ["diode", "varistor", "limiter"], "line-end": "line-end", "splice": "crimp", "strip": "lever",
}  # fmt: skip
