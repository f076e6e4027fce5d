"""What a driven line does while its device starts must not free a door (trade list: relay modules at reboot)."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.reading.model import Drive, Input
from wiregen.review.rule import Case, Found, door_rule
from wiregen.review.secured import freed
from wiregen.states.struck import Strike


@door_rule("boot-frees", "stop", "a driven line frees nothing while its device starts")
def boot_frees(case: Case) -> Iterator[Found]:
    circuits = case.logic.circuits
    for at, ways in circuits.inputs.items():
        input_ = circuits.group(at)
        if at.device not in case.door.devices or not isinstance(input_, Input):
            continue
        for drive in (way.drive for way in ways if way.drive is not None):
            line = circuits.of(drive, Drive)
            active = _active(input_, line)
            locks = () if active is False else freed(case, Strike(active=frozenset({at})))
            if locks:
                is_ = f"is {line.boot}" if line.boot else "may be anything (its data sheet gives no boot)"
                does = "moves" if active else "may move"
                yield Found(
                    case.at(at.device, "obeys"),
                    f"{drive.device}.{drive.group} {is_} while {drive.device} starts, and {at.device}.{at.group} {does} on "
                    f"it: each restart frees {', '.join(locks)}",
                    f"a line that is low at start, a resistor that holds {at.device}.{at.group} at rest (pull-down), or a "
                    "relay that obeys a coded message",
                    level=None if active else "warn",
                )


def _active(input_: Input, line: Drive) -> bool | None:
    """Whether the input is active while the line stands as at start; None where nothing says so, or the input floats."""
    if line.boot is None:
        return None
    if (input_.active or "").startswith("above"):
        if line.boot == "open":
            return False if input_.pull_down else True if input_.pull_up else None
        return line.boot == "high"
    sinks = line.boot == "low"
    return sinks != (input_.active == "open")


RULES = (boot_frees,)
