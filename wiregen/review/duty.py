"""How long a coil may be powered against how long the door powers it (trade list: an intermittent strike held open)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.quantities import percent
from wiregen.reading.model import Part
from wiregen.reading.quantity import band
from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.model import WiredDevice, Wiring

HOUR = 3600.0  # s


@door_rule("hold-long", "stop", "no coil is powered for longer, or more often, than its duty allows")
def hold_long(case: Case) -> Iterator[Found]:
    use = {**case.site.use, **case.door.use}
    where = case.door.keys.get("use")
    for lock, part, on, cycle in intermittent(case.wiring):
        at, duty = case.at(lock.ref), f"the coil of {lock.ref} may be powered {part.duty}"
        if any(b.powered.get("idle") for b in case.wiring.behaviours if b.lock == lock.ref):
            yield Found(at, f"{duty}, and it is powered all the time at rest: it burns", _CURE)
            continue
        longest = use.get("longest") or use.get("grant")
        if longest is None:
            yield Found(at, f"{duty}, and nothing says how long the door powers it", "use: {longest: 30 s}", level="warn")
            continue
        if band(longest, "s").most > on:
            yield Found(where or at, f"{duty}, and the door powers it up to {longest} at a time: it overheats", _CURE)
        share = band(use.get("grant", longest), "s").most * float(use.get("per-hour", 0)) / HOUR
        if share > on / cycle:
            told = f"{use['per-hour']} grants an hour are {percent(share)} of the time, {percent(on / cycle)} are allowed"
            yield Found(where or at, f"{duty}, and {told}: it overheats", _CURE)


_CURE = "a lock whose data sheet says duty: continuous, or a shorter time in `use` (grant, longest, per-hour)"


def intermittent(wiring: Wiring) -> Iterator[tuple[WiredDevice, Part, float, float]]:
    """Coils of the door's locks that may not stay powered, with how long of what time, in seconds."""
    for lock in wiring.devices.values():
        for part in lock.sheet.inside if lock.sheet.is_ == "lock" and lock.origin == "door" else ():
            on, _, cycle = (part.duty or "").partition(" in ")
            if cycle:
                yield lock, part, band(on, "s").most, band(cycle, "s").least


RULES = (hold_long,)
