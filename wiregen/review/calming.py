"""What tames a coil: none where it would hold the lock, one where the coil needs it, the right way round, at the lock."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import Part, Takes
from wiregen.review.leaving import left_electrically
from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.model import End, WiredDevice

ONE_WAY = ("diode", "zener", "tvs")  # parts whose way round matters
ACROSS = (*ONE_WAY, "varistor", "resistor", "capacitor", "rc")


def _coils(case: Case) -> Iterator[tuple[WiredDevice, Takes]]:
    """The door's locks by the pair of terminals that is powered."""
    for lock in case.locks:
        for group in lock.sheet.groups.values():
            if isinstance(group, Takes) and group.first and group.second and group.current != "mains":
                yield lock, group


def _across(case: Case, lock: WiredDevice, coil: Takes) -> Iterator[tuple[WiredDevice, Part, bool]]:
    """Parts of other devices whose two terminals lie on those of the coil; True where the first lies on the plus."""
    plus, minus = End(lock.ref, coil.first or ""), End(lock.ref, coil.second or "")
    for device in case.wiring.devices.values():
        if device.ref == lock.ref:
            continue
        for part in device.sheet.inside:
            first, second = (End(device.ref, mark) for mark in part.between)
            if case.copper.same(first, plus) and case.copper.same(second, minus):
                yield device, part, True
            elif case.copper.same(first, minus) and case.copper.same(second, plus):
                yield device, part, False


@door_rule("diode-forbidden", "stop", "no diode lies across a lock that forbids one or runs on AC", approvable=False)
def diode_forbidden(case: Case) -> Iterator[Found]:
    for lock, coil in _coils(case):
        forbidden = "diode" in (lock.sheet.calm.never if lock.sheet.calm else ())
        for device, part, _ in _across(case, lock, coil):
            if part.kind == "diode" and (forbidden or coil.current == "ac"):
                held = "it would hold on after release" if coil.current == "dc" else "it would short every other half wave"
                yield Found(
                    case.at(device.ref if device.device else lock.ref),
                    f"{device.ref} puts a diode across {lock.ref}, which must not have one: {held}",
                    f"take {device.ref} away; {_instead(lock)}",
                )


def _instead(lock: WiredDevice) -> str:
    calm = lock.sheet.calm
    if calm and calm.fitted:
        return f"{lock.ref} has its own inside ({', '.join(calm.fitted)})"
    return f"{lock.ref} wants {', '.join(calm.wants)}" if calm and calm.wants else f"{lock.ref} wants none"


@door_rule("beside-the-magnet", "warn", "nothing else hangs behind the contacts that release a magnet")
def beside_the_magnet(case: Case) -> Iterator[Found]:
    """A load in parallel keeps feeding the magnet's own current round after release, as a diode would."""
    for lock, coil in _coils(case):
        chain = next((c for c in case.chains(lock.ref) if c.load_group == coil.name and c.links), None)
        if chain is None or lock.sheet.unpowered != "free" or "diode" not in (lock.sheet.calm.never if lock.sheet.calm else ()):
            continue
        for ref in _beside(case, lock, coil):
            yield Found(
                case.at(lock.ref, "through"),
                f"{ref} hangs behind the same contacts as {lock.ref}: each holds the other for a moment after release",
                f"a contact of its own for {ref}: another pole of the same button or relay",
                level="stop" if left_electrically(case) else None,
                approvable=not left_electrically(case),
            )


def _beside(case: Case, lock: WiredDevice, coil: Takes) -> Iterator[str]:
    """Other devices that are powered through the very terminals of the coil."""
    ends = End(lock.ref, coil.first or ""), End(lock.ref, coil.second or "")
    for ref, device in case.wiring.devices.items():
        loads = (g for g in device.sheet.groups.values() if isinstance(g, Takes) and g.first and g.second)
        if ref != lock.ref and any(
            case.copper.same(End(ref, load.first or ""), ends[0]) and case.copper.same(End(ref, load.second or ""), ends[1])
            for load in loads
        ):
            yield ref


@door_rule("calmer-missing", "warn", "each coil that a contact switches has what its data sheet wants against the surge, once")
def calmer_missing(case: Case) -> Iterator[Found]:
    added = {(c.lock, c.coil) for c in case.wiring.calmers if c.ref is not None}
    for_lock = {c.ref: c.lock for c in case.wiring.calmers}
    for lock, coil in _coils(case):
        calm = lock.sheet.calm
        if calm is None or not calm.wants:
            continue
        parts = [(d, p) for d, p, _ in _across(case, lock, coil) if p.kind in ACROSS]
        if not parts and (lock.ref, coil.name) not in added and not calm.fitted:
            yield Found(
                case.at(lock.ref),
                f"{lock.ref} wants {' or '.join(calm.wants)} across its coil, and the site's stock has none: contacts weld",
                "in site.yaml, stock: {calm: [a data sheet of it]}",
            )
        own = sorted({d.ref for d, _ in parts if for_lock.get(d.ref, lock.ref) == lock.ref})  # not that of a lock beside it
        if len(own) > 1:
            yield Found(
                case.at(lock.ref),
                f"{', '.join(own)} all lie across {lock.ref}: one is enough",
                "keep the one at the lock",
            )


@door_rule("diode-reversed", "stop", "the band of a diode lies on the plus of its coil, at the lock")
def diode_reversed(case: Case) -> Iterator[Found]:
    for lock, coil in _coils(case):
        for device, part, anode_on_plus in _across(case, lock, coil):
            if part.kind not in ONE_WAY or coil.current != "dc":
                continue
            where = case.at(device.ref if device.device else lock.ref)
            if anode_on_plus:
                cathode = part.between[1]
                yield Found(
                    where,
                    f"{device.ref} lies across {lock.ref} the wrong way round: it shorts the supply when the lock is powered",
                    f"{device.ref}:{cathode} (band) to {lock.ref}:{coil.first}",
                )
            if device.place != lock.place:
                yield Found(
                    where,
                    f"{device.ref} tames {lock.ref} from {device.place}: the surge runs along the whole cable first",
                    f"{device.ref}: {{at: {lock.place}}}",
                    level="warn",
                )


RULES = (diode_forbidden, beside_the_magnet, calmer_missing, diode_reversed)
