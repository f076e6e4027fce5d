"""How one leaves: a door that is left electrically lets go whatever the electronics do (trade list: release)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wiregen.reading.conditions import mentions
from wiregen.reading.model import DataSheet, Device, Group, Input, Unit
from wiregen.reading.quantity import band
from wiregen.review.codes import BUTTON_HEIGHT, BUTTON_TIME, BUTTON_WITHIN, sensor_clauses
from wiregen.review.contacts import links, links_behind, opens_on
from wiregen.review.model import Level
from wiregen.review.paste import add_device, through
from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.model import Behaviour, WiredDevice

ELECTRICAL = ("sensor", "button", "call-point", "bar-switch")
UNTIL_RESET = "until reset"


def left_electrically(case: Case) -> bool:
    return any(way in ELECTRICAL for way in case.door.leave_by)


def barring(case: Case) -> Iterator[Behaviour]:
    """What the circuits make of each lock that is held while nothing happens."""
    return (b for b in case.wiring.behaviours if b.gives.get("idle") == "held" and b.lock in case.door.devices)


@door_rule("leave-none", "stop", "a door that nobody can leave by says why nobody can be inside", approvable=False)
def leave_none(case: Case) -> Iterator[Found]:
    if "none" in case.door.leave_by and not (case.door.why_none or "").strip():
        yield Found(
            case.key("leave-by"),
            "nobody can leave by this door, and the spec does not say why nobody can be inside",
            "leave-by: {none: why nobody can be inside}",
        )


@door_rule("leave-without-power", "stop", "a door that is left electrically lets go when controller or power is dead",
           approvable=False)  # fmt: skip
def leave_without_power(case: Case) -> Iterator[Found]:
    if not left_electrically(case):
        return
    for behaviour in barring(case):
        for state in ("controller-dead", "power-dead"):
            if state == "controller-dead" and _direct(case, behaviour.lock):
                continue  # the lock's own logic is asked by hand, and lets go without the controller
            if behaviour.gives.get(state) == "held":
                yield Found(
                    case.key("want"),
                    f"{behaviour.lock} stays held in {state}, and the door is left by {', '.join(case.door.leave_by)} alone",
                    f"want: {{{state}: free}} with a lock that lets go without power, or a mechanical way out in leave-by",
                    source=_source(case),
                )


@door_rule("release-manual", "stop", "a contact worked by hand breaks the lock's power itself, whatever the electronics do",
           approvable=False)  # fmt: skip
def release_manual(case: Case) -> Iterator[Found]:
    if not left_electrically(case):
        return
    for behaviour in barring(case):
        if not any(_by_hand(group, link.side) for link, group in links(case.wiring, behaviour.lock)) and not _direct(
            case, behaviour.lock
        ):
            yield Found(
                case.at(behaviour.lock, "through"),
                f"no contact worked by hand breaks the power of {behaviour.lock}: when the controller hangs, it stays held",
                _manual_cure(case, behaviour.lock),
                source=_source(case),
            )


def _by_hand(group: Group, side: str | None) -> bool:
    """Opens when pressed, and needs no power of its own to do so."""
    return opens_on(group, "pressed", side) and not mentions(group, "powered")


def _direct(case: Case, lock: str) -> bool:
    """A lock with logic of its own: whether a contact worked by hand stands at an input of it that frees."""
    device = case.door.devices[lock]
    for relation in device.relations:
        if relation.kind != "obeys":
            continue
        target = case.device(relation.target.device)
        if target is None:
            continue
        inputs = [g for g in device.sheet.groups.values() if isinstance(g, Input) and (g.does or "").startswith("frees")]
        contacts = [target.sheet.groups.get(relation.target.group or "")]
        if relation.target.group is None:
            contacts = list(target.sheet.groups.values())
        if any(relation.own in (None, g.name) for g in inputs) and any(
            c is not None and mentions(c, "pressed") and not mentions(c, "powered") for c in contacts
        ):
            return True
    return False


def _manual_cure(case: Case, lock: str) -> str:
    """The contact to put in, from a device that the door has or else from a data sheet that the site has."""
    for ref, device in case.door.devices.items():
        if device.sheet.is_ != "lock" and (group := _hand_contact(device.sheet)):
            return through(case.door.devices[lock], f"{ref}.{group}")
    sheets = [s for _, s in sorted(case.site.sheets.items()) if isinstance(s, DataSheet) and s.is_ == "button"]
    best = max(sheets, key=lambda s: (_hand_contact(s) != "", "sign" in s.mounting, -len(s.terminals)), default=None)
    if best is None or not _hand_contact(best):
        return "a button with a contact that opens when pressed, in `through` of the lock, and a data sheet for it"
    ref, yaml = add_device(case.site, case.door, "S", best.type)
    return f"{yaml}\n{through(case.door.devices[lock], f'{ref}.{_hand_contact(best)}')}"


def _hand_contact(sheet: DataSheet) -> str:
    return next((name for name, group in sheet.groups.items() if _by_hand(group, None)), "")


def _source(case: Case) -> str | None:
    """The clauses that the site has bound itself to; without one, what every door is held to."""
    clauses = [str(clause) for clause in sensor_clauses(case.site.codes)]
    return " and ".join(clauses) or None


@door_rule("release-sensor", "stop", "a sensor that frees a door does so too when it loses its power", approvable=False)
def release_sensor(case: Case) -> Iterator[Found]:
    if "sensor" not in case.door.leave_by:
        return
    sensors = [d for d in case.wiring.devices.values() if any(mentions(g, "motion") for g in d.sheet.groups.values())]
    if not sensors:
        yield Found(
            case.key("leave-by"),
            "the door is left by a sensor, and it has none",
            "a motion sensor among the devices, or another leave-by",
        )
        return
    in_circuits = (group for lock in barring(case) for _, group in links_behind(case.wiring, lock.lock))
    if not any(map(_drops_out, in_circuits)) and not any(_tells_dropping(case, sensor) for sensor in sensors):
        sensor = sensors[0].ref
        contact = next((n for n, g in sensors[0].sheet.groups.items() if _drops_out(g)), "")
        lock = next(barring(case), None)
        yield Found(
            case.at(sensor, "tells"),
            f"{sensor} frees the door only while it has power: when it is dead, the door stays held",
            through(case.door.devices[lock.lock], f"{sensor}.{contact}")
            if lock and contact
            else "a sensor whose contact opens on motion and when it loses its power",
            source=_source(case),
        )


def _drops_out(group: Group) -> bool:
    """Opens on motion, and when it loses its power."""
    return opens_on(group, "motion") and any("powered" in c.any_of and not c.negated for c in getattr(group, "closed_when", ()))


def _tells_dropping(case: Case, sensor: WiredDevice) -> bool:
    relations = sensor.device.relations if sensor.device else ()
    told = [sensor.sheet.groups.get(r.own or "") for r in relations if r.kind == "tells"]
    return any(group is not None and _drops_out(group) for group in told)


# ---- numbers of a code -----------------------------------------------------------------------------------------------


@door_rule("release-numbers", "stop", "the button beside a sensor-released lock stands and works as the site's code says")
def release_numbers(case: Case) -> Iterator[Found]:
    if "sensor" not in case.door.leave_by:
        return
    clauses = [str(clause) for clause in sensor_clauses(case.site.codes)]
    if not clauses:
        named = "; ".join(case.site.codes.values()) or "none"
        yield Found(
            case.key("leave-by"),
            f"height, distance and time of the exit button are not checked: no numbers are held here for the codes that the "
            f"site names ({named})",
            "hold the button to the local code",
            level="note",
        )
        return
    source = " and ".join(clauses)
    buttons = {
        link.device: (link.group, group)
        for lock in barring(case)
        for link, group in links(case.wiring, lock.lock)
        if _by_hand(group, link.side)
    }
    for ref, (name, group) in buttons.items():
        device = case.device(ref)
        if device is not None:
            yield from (
                Found(case.at(ref), f"{ref}: {wrong}", cure, level=level, source=source)
                for level, wrong, cure in _numbers(device, name, group)
            )


def _numbers(device: Device, name: str, group: Group) -> Iterator[tuple[Level, str, str]]:
    stays = getattr(group, "stays", None)
    seconds = None if stays is None or stays == UNTIL_RESET else _amount(stays, "s")
    if stays != UNTIL_RESET and (seconds is None or seconds < BUTTON_TIME):
        yield "stop", f"{name} breaks the lock's power for {stays or 'no stated time'}, {BUTTON_TIME:g} s are asked", (
            "a button with a timer of its own, or one that stays until it is reset"
        )
    low, high = BUTTON_HEIGHT
    height = _amount(device.mount.get("height"), "m")
    if height is None:
        yield "warn", f"its height is not written; {low * 1000:.0f} to {high * 1000:.0f} mm (40 to 48 in) are asked", (
            "mount: {height: 1100 mm}"
        )
    elif not low <= height <= high:
        asked = f"{low * 1000:.0f} to {high * 1000:.0f} mm (40 to 48 in) are asked"
        yield "stop", f"{height * 1000:.0f} mm above the floor; {asked}", "mount: {height: 1100 mm}"
    within = _amount(device.mount.get("within"), "m")
    if within is None:
        yield "warn", f"its distance from the door is not written; {BUTTON_WITHIN * 1000:.0f} mm (5 ft) at most are asked", (
            "mount: {within: 1.5 m}"
        )
    elif within > BUTTON_WITHIN:
        yield "stop", f"{within * 1000:.0f} mm from the door; {BUTTON_WITHIN * 1000:.0f} mm (5 ft) at most are asked", (
            "mount: {within: 1.5 m}"
        )


def _amount(text: str | None, unit: Unit) -> float | None:
    """The quantity that a text begins with ("1.5 m of the door"), at its most; None where it begins with none."""
    found = re.match(r"[\d.]+\s*\w+", text or "")
    try:
        return band(found[0], unit).most if found else None
    except ValueError:
        return None


# ---- delays ----------------------------------------------------------------------------------------------------------


@door_rule("leave-delayed", "warn", "a door that lets go only after a wait needs the authority's approval before it is ordered")
def leave_delayed(case: Case) -> Iterator[Found]:
    steps = case.door.order.get("exit", ())
    if steps and steps[0] not in case.door.devices:
        yield Found(
            case.key("order"),
            f"on the way out the door lets go only after {steps[0]}",
            "once the authority having jurisdiction has approved it: accept: {leave-delayed: {reason: approved, who: name, "
            "date: day of the approval, clause: code and clause}}",
        )


RULES = (leave_none, leave_without_power, release_manual, release_sensor, release_numbers, leave_delayed)
