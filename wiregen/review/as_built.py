"""What came back from the wall against the design: a wire that is landed where it joins other things."""

from __future__ import annotations

from collections.abc import Iterator

from wiregen.review.rule import Case, Found, door_rule
from wiregen.wiring.model import End

SOURCE = "the door's own spec: as-built against its relations"


@door_rule("as-built-elsewhere", "stop", "each wire is landed where it joins what the design joins", source=SOURCE)
def as_built_elsewhere(case: Case) -> Iterator[Found]:
    for conductor in case.wiring.conductors:
        for key, end in conductor.built.off if conductor.built else ():
            meant = conductor.a if key == "from" else conductor.b
            entry = next(e for e in case.door.as_built if e.wire == conductor.wire)
            yield Found(
                entry.keys[key],
                f"{conductor.wire} ({conductor.function}) was found on {_told(case, end)}, and the design lands it on "
                f"{_told(case, meant)}: other things are joined than sheets, readings and figures say, which show the design",
                f"land it on {meant} and take `{key}` out of the correction; or, where {end} is meant, write that into the "
                "relations of the spec",
            )


def _told(case: Case, end: End) -> str:
    """A terminal with the groups that it belongs to."""
    device = case.wiring.devices.get(end.device)
    groups = [g.name for g in device.sheet.groups.values() if end.terminal in g.marks] if device else []
    return f"{end} ({', '.join(groups)})" if groups else str(end)


RULES = (as_built_elsewhere,)
