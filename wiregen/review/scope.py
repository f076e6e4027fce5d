"""Who brings, mounts and lands what two trades meet at (trade list: scope gaps)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.conditions import mentions
from wiregen.reading.model import Device, Takes
from wiregen.review.rule import Found, Job, site_rule

SHARED_WORK = ("transfer", "machine")  # what a door firm or the maker of a gate brings and somebody else lands


@site_rule("by-unsaid", "note", "where two trades meet at a device, the spec says who supplies, mounts and lands it")
def by_unsaid(job: Job) -> Iterator[Found]:
    doors = {door: [d for d in case.door.devices.values() if _unsaid(d)] for door, case in job.cases.items()}
    shared = [d for _, d in sorted(job.site.shared.items()) if _unsaid(d)]
    named = [d.ref for d in shared] + [f"{door}/{d.ref}" for door, devices in doors.items() for d in devices]
    if named:
        first = shared[0] if shared else next(d for devices in doors.values() for d in devices)
        yield Found(
            first.where,
            f"nobody is named for {', '.join(named)}, at which two trades meet: each may take it for the other's",
            f"{first.ref}: {{by: {{supply: who, mount: who, terminate: who}}}}",
            doors=() if shared else tuple(door for door, devices in doors.items() if devices),
        )


def _unsaid(device: Device) -> bool:
    """On mains, part of the fire system, a transfer or a machine, and no `by`."""
    groups = device.sheet.groups.values()
    mains = any(isinstance(g, Takes) and g.current == "mains" for g in groups)
    fire = device.sheet.is_ == "interface" and any(mentions(g, "fire") for g in groups)
    return not device.by and not device.existing and (mains or fire or device.sheet.is_ in SHARED_WORK)


RULES = (by_unsaid,)
