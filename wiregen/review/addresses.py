"""Who is who on a data line: no two devices answer to one address (trade list: faults of a line of two wires)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.fitting import At
from wiregen.wiring.model import WiredDevice
from wiregen.wiring.potentials import Joined

ADDRESS = "address"  # a setting


@door_rule("address-twice", "warn", "no two devices on one data line have the same address")
def address_twice(case: Case) -> Iterator[Found]:
    """As delivered all have the same: two on which none is set count as alike."""
    taken: dict[tuple[At, str], str] = {}
    for line, device in _addressed(case):
        address = device.settings.get(ADDRESS, "")
        other = taken.setdefault((line, address), device.ref)
        if other != device.ref:
            is_ = f"address {address}" if address else "no address set"
            yield Found(
                case.at(device.ref),
                f"{other} and {device.ref} are on one data line, both with {is_}: neither is heard for sure",
                f"{device.ref}: {{set: {{{ADDRESS}: {_free(case, line)}}}}}",
            )


def _addressed(case: Case) -> Iterator[tuple[At, WiredDevice]]:
    """The devices that have an address, each with the line that it is on."""
    lines: Joined[At] = Joined()
    for fit in case.logic.circuits.fits:
        if fit.row == "T13":
            lines.join(fit.own, fit.target)
    for at in dict.fromkeys(at for fit in case.logic.circuits.fits if fit.row == "T13" for at in (fit.own, fit.target)):
        device = case.wiring.devices.get(at.device)
        if device and ADDRESS in device.sheet.settings:
            yield lines.find(at), device


def _free(case: Case, line: At) -> int:
    used = {device.settings.get(ADDRESS) for of, device in _addressed(case) if of == line}
    return next(n for n in range(1, len(used) + 2) if str(n) not in used)


RULES = (address_twice,)
