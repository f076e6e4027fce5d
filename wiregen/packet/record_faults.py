"""What the record says of a door's faults: what its fault guide and its retest sheet print."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from wiregen.faults.guide import Check, Complaint
from wiregen.faults.model import Fault
from wiregen.faults.retest import Retest
from wiregen.faults.upkeep import Upkeep
from wiregen.packet.fault_words import complaint
from wiregen.reading.model import Band

Spread = Callable[[Band | None], Any]


def faults_data(kept: Upkeep | None, spread: Spread) -> dict[str, Any] | None:
    """None where the faults were not worked out; `spread` writes a band."""
    if kept is None:
        return None
    guide = kept.guide
    return {
        "weighed": guide.weighed,
        "silent": guide.silent,
        "to-frame": guide.to_frame,
        "complaints": [_complaint(one, spread) for one in guide.complaints],
        "left-out": [complaint(one) for one in guide.left_out],
        "retests": [_retest(one, spread) for one in kept.retests],
    }


def _complaint(one: Complaint, spread: Spread) -> dict[str, Any]:
    return {
        "complaint": complaint(one.symptom),
        "faults": one.faults,
        "look": list(one.looks),
        "checks": [_check(check, spread) for check in one.checks],
        "left": [_words(faults) for faults in one.left],
        "more": one.more,
    }


def _check(check: Check, spread: Spread) -> dict[str, Any]:
    return {
        "state": check.moment.name,
        "before": check.before,
        "between": [str(check.between.a), str(check.between.b)],
        "place": check.between.place,
        "good": spread(check.good),
        "if-good": check.if_good,
        "likely": [{"volts": round(one.volts, 3) + 0.0, "faults": _words(one.faults)} for one in check.likely],
        "more": check.more,
    }


def _retest(test: Retest, spread: Spread) -> dict[str, Any]:
    return {
        "states": list(test.states),
        "way": test.way,
        "by": list(test.by),
        "locks": list(test.locks),
        "volts": {lock: spread(band) for lock, band in test.volts.items()},
        "faults": _words(test.faults),
    }


def _words(faults: Sequence[Fault]) -> list[str]:
    return [fault.words for fault in faults]
