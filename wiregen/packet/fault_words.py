"""Faults, complaints and what to do, in the few words for which a row has room."""

from __future__ import annotations

from collections.abc import Sequence

from wiregen.faults.guide import Symptom
from wiregen.faults.model import Fault
from wiregen.packet.wording import named, state
from wiregen.quantities import spread
from wiregen.reading.model import Band

NOUGHT = 0.05  # V, less than a meter is asked to tell from nothing
NAMED = 3  # faults that are named of those that no meter can tell apart


def brief(fault: Fault) -> str:
    """"A101a open (A1:1 to X1:s3)": what is wrong, by wire numbers and terminals."""
    at = " and ".join(map(str, fault.at))
    first = fault.at[0].device if fault.at else ""
    match fault.kind:
        case "open":
            return f"{fault.wires[0]} open ({' to '.join(map(str, fault.at))})"
        case "short" if fault.wires:
            return f"{' and '.join(fault.wires)} touch ({fault.words.rpartition(' ')[2]})"
        case "short":
            return f"{at} touch"
        case "frame":
            return f"{fault.wires[0]} on the frame ({at})"
        case "dead":
            return f"{fault.key.removeprefix('dead ')} dead"
        case "fuse":
            return f"fuse of {first} blown ({at})"
        case "welded":
            return f"contact {at} welded shut"
        case "stuck":
            return f"contact {at} does not close"
        case "swapped":
            return f"{' and '.join(fault.wires)} exchanged at {first}"
        case "calmer":
            return fault.words


def alike(faults: Sequence[Fault]) -> str:
    """Faults that no meter can tell apart, as one."""
    more = len(faults) - NAMED
    text = " or ".join(brief(fault) for fault in faults[: NAMED if more > 1 else None])
    return f"{text} or {more} more alike" if more > 1 else text


def volts(good: Band) -> str:
    """Least to most, as a meter shows it: hundredths below 1 V."""
    if max(abs(good.least), abs(good.most)) < NOUGHT:
        return "0 V"
    least, most = (round(v, 2) + 0.0 if abs(v) < 1 else v for v in (good.least, good.most))
    return spread(least, most, "V")


def complaint(of: Symptom) -> str:
    """"Y1 and Y2 stay held when access is granted"."""
    sign = of.sign
    if sign.is_ == "dark":
        return f"{sign.what} is dark"
    when = WHEN.get(sign.state) or f"while {state(sign.state)}"
    if sign.is_ == "active":
        return f"{sign.what} is reported {when}, and should not be" if of.is_so else f"{sign.what} is not reported {when}"
    which = named((sign.what, *(other.what for other in of.others))) + (" alone" if of.alone else "")
    which += f" or one of {named(of.likewise)}" if of.likewise else ""
    does = ("do not hold" if of.others else "does not hold") if of.is_so else "stay held" if of.others else "stays held"
    return f"{which} {does} {when}"


WHEN = {"idle": "at rest", "grant": "when access is granted", "call": "when it is called open"}
