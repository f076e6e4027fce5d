"""Data lines as chains: which devices stand at the ends of a bus, and where the drain of a screen is landed (L7).

A drain is landed at one end, on the screen terminal of the device that the line comes from, carried through along a chain,
and cut back at the far end.  A bus wants its resistors at its two ends and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable

from wiregen.reading.model import Line
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits
from wiregen.wiring.fitting import At
from wiregen.wiring.model import End, Remark
from wiregen.wiring.potentials import Joined

BUS = "osdp"  # RS-485 by its standard: a chain with a resistor at either end
SETTING = "line-end"


def drain(cast: Cast, circuits: Circuits, along: tuple[str, ...], reached: Iterable[End]) -> tuple[End | None, str]:
    """Where the drain of a screened cable is landed, and what to write about it.

    `along` are the cable's places from the outer to the inner end, `reached` the terminals that its cores lead to at the
    outer end.
    """
    outer, inner = along[0], along[-1]
    outside = {end.device for end in reached}
    lines: Joined[At] = Joined()
    chain = [at for fit in circuits.fits if fit.row == "T13" for at in (fit.target, fit.own)]
    for target, own in zip(chain[::2], chain[1::2], strict=True):
        lines.join(target, own)
    here = {lines.find(at) for at in chain if at.device in outside}
    screened = [(at, line.screen) for at in dict.fromkeys(chain) if (line := circuits.of(at, Line)).screen]
    ours = [(at, mark) for at, mark in screened if lines.find(at) in here]
    for at, mark in sorted(ours, key=lambda one: one[0].device in outside):
        end, far = (outer, inner) if at.device in outside else (inner, outer)
        if cast.place(at.device) == end and mark is not None:
            return End(at.device, mark), f"landed at {at.device}:{mark}, cut back and taped at {far}"
    for at, mark in ours:
        return None, f"joined to the next cable's screen at {inner}, landed at {at.device}:{mark} only"
    return None, "cut back and taped at both ends"


def resistors(circuits: Circuits) -> tuple[dict[str, str], list[Remark]]:
    """The line-end setting of each device on a bus, in at its two ends.

    Remarked on are what the author set otherwise, and a star.
    """
    beside: dict[At, set[At]] = {}
    for fit in circuits.fits:
        if fit.row == "T13" and circuits.of(fit.own, Line).protocol == BUS:
            beside.setdefault(fit.own, set()).add(fit.target)
            beside.setdefault(fit.target, set()).add(fit.own)
    chosen: dict[str, str] = {}
    remarks = []
    for at, others in beside.items():
        device = circuits.cast.device(at.device)
        if len(others) > 2 and circuits.cast.is_own(at.device):
            text = f"{len(others)} cables leave {at.device}.{at.group}: a data line of two wires is a chain, not a star"
            remarks.append(Remark(text, device.where, "line-star"))
        if SETTING not in device.sheet.settings:
            continue
        right = "in" if len(others) == 1 else "out"
        chosen[at.device] = right
        written = device.set.get(SETTING, right)
        if written != right and circuits.cast.is_own(at.device):
            where = "at an end" if right == "in" else "in the middle"
            text = f"{at.device} stands {where} of its data line: its line-end resistor should be {right}, and is set {written}"
            remarks.append(Remark(text, device.where, "line-end"))
    return chosen, remarks
