"""End-of-line resistors (L8): of a supervised input, at the sensor, from stock unless they are cast into it."""

from __future__ import annotations

from wiregen.reading.model import Contact, DataSheet, Input, LineEndSheet, Part, Problem, Terminal
from wiregen.wiring.cast import Cast
from wiregen.wiring.circuits import Circuits, InputCircuit
from wiregen.wiring.joins import Added
from wiregen.wiring.model import LineEnd
from wiregen.wiring.names import Names


class LineEnds:
    """Finds what each supervised input has at its end."""

    def __init__(self, cast: Cast, circuits: Circuits, names: Names) -> None:
        self._cast = cast
        self._circuits = circuits
        self._names = names
        self.found: list[LineEnd] = []
        self.problems: list[Problem] = []

    def pack(self, way: InputCircuit, group: Input) -> Added | None:
        """The resistors of a supervised input, at the sensor, unless they are cast into it."""
        device = self._cast.device(way.input.device)
        if device.set.get(group.name) != "supervised":
            return None
        sensor = way.steps[0][0].at
        for step, _ in way.steps:
            contact = self._circuits.group(step.at)
            if isinstance(contact, Contact) and contact.line_end is not None:
                self.found.append(LineEnd(step.at.device, step.at.group, str(way.input), None, contact.line_end))
                return None
        sheet = self._cast.site.stock.line_end
        if sheet is None:
            self.problems.append(
                Problem(
                    way.fit.relation.where,
                    f"devices, {device.ref}, set, {group.name}",
                    f"{way.input} is supervised and {sensor.device} has no end-of-line resistors",
                    "name them in the site's stock: {line-end: TYPE}, or use a contact that has them inside",
                )
            )
            return None
        added = Added(self._names.next("resistor"), _pack(sheet), self._cast.place(sensor.device), sensor.device)
        self.found.append(LineEnd(sensor.device, sensor.group, str(way.input), added.ref, sheet.values))
        return added


def _pack(sheet: LineEndSheet) -> DataSheet:
    """End-of-line resistors as a device with four bare leads: 1 and 2 to the input, 3 and 4 to the contact."""
    return DataSheet(
        type=sheet.type,
        is_=sheet.is_,
        name=sheet.name,
        terminals=tuple(Terminal(str(n), n, "bare") for n in (1, 2, 3, 4)),
        groups={},
        where=sheet.where,
        tied=(("2", "4"),),
        inside=(
            Part(kind="resistor", between=("1", "3"), resistance=sheet.values.series),
            Part(kind="resistor", between=("3", "4"), resistance=sheet.values.across),
        ),
    )
