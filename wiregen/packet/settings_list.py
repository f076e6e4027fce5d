"""Every setting of every device, with how it is delivered; and what is plugged into which port, under which name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from wiregen.packet.content import Cell, Column, Section, Strong, Table, Tick, Write, blocks
from wiregen.packet.loads import OnPort, ports
from wiregen.reading.model import Site
from wiregen.reading.shared import SITE, wired
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Setting:
    """`value` is empty where neither spec nor wiring says it; `delivered` where the data sheet gives no list of choices."""

    door: str
    ref: str
    type: str
    place: str
    name: str
    value: str
    delivered: str
    choices: tuple[str, ...]
    why: str

    @property
    def stays(self) -> bool:
        """Whether nobody asks for anything but what is delivered."""
        return bool(self.delivered) and not self.value


def settings(wirings: Mapping[str, Wiring]) -> Iterator[Setting]:
    """Of each device where it belongs: jumper, what spec and wiring set, then what its data sheet offers beside."""
    for of, wiring in wirings.items():
        for d in wiring.devices.values():
            if d.origin == "other door" or (d.origin == "site") != (of == SITE):
                continue
            written = d.device.set if d.device else {}
            if d.sheet.jumper:
                yield Setting(of, d.ref, d.sheet.type, d.place, "jumper", d.sheet.jumper, "", (), "fixed by the type")
            for name in dict.fromkeys((*d.settings, *d.sheet.settings)):
                choices = d.sheet.settings.get(name, ())
                wired_so = "asked for by the wiring" if name in d.settings else "free to choose"
                why = "as specified" if name in written else wired_so
                delivered = choices[0] if len(choices) > 1 else ""  # the first choice is as delivered
                yield Setting(of, d.ref, d.sheet.type, d.place, name, d.settings.get(name, ""), delivered, choices, why)


def settings_list(
    site: Site, wirings: Mapping[str, Wiring], studies: Mapping[str, Study], own: Mapping[str, Wiring]
) -> Section:
    """The ports of the site with all that is wired to them, and the settings of the devices of `own`."""
    return _section(_network(site, ports(site, wirings, studies)), _settings(site, settings(own)))


def device_settings(site: Site, wirings: Mapping[str, Wiring]) -> Section:
    """The settings of the devices alone."""
    return _section(_settings(site, settings(wirings)))


def _section(*tables: Table) -> Section:
    return Section(key="settings", title="Settings", blocks=blocks(*tables))


def _network(site: Site, found: Iterable[OnPort]) -> Table:
    of = wired(site)
    rows: list[tuple[Cell, ...]] = [
        (
            Strong(f"{p.switch}:{p.port}"),
            p.on,
            port_name(p),
            of[p.door].name if p.door else "Shared devices",
            "data only" if p.granted is None else f"power, class {p.granted}",
            Write(),
            Write(),
            Tick(),
        )
        for p in found
        if p.on
    ]
    return Table(
        "Network: what is plugged where, and under which name it is set up",
        (
            Column("Port", 20),
            Column("Plugged in", 58),
            Column("Name", 32),
            Column("Serves", 54),
            Column("Gives", 30),
            Column("Hardware address", 36),
            Column("Network address", 36),
            Column("done", 10, "middle"),
        ),
        tuple(rows),
        by_hand=True,
    )


def port_name(port: OnPort) -> str:
    """Under which a device is set up: its door and its designation."""
    return f"{port.door or SITE}-{port.on.split(':')[0]}"


def _settings(site: Site, found: Iterable[Setting]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    door = ""
    names = {of: each.name for of, each in wired(site).items()}
    by_device: dict[tuple[str, str], list[Setting]] = {}
    for s in found:
        by_device.setdefault((s.door, s.ref), []).append(s)
    for (of, ref), own in by_device.items():
        if of != door:
            rows.append((f"{of} {names[of]}",))
            door = of
        heads: Iterator[tuple[Cell, ...]] = iter([(Strong(ref), own[0].type, own[0].place)])
        for s in own:
            if not s.stays:
                value: Cell = Strong(s.value) if s.value else Write()
                rows.append((*next(heads, ("", "", "")), s.name, value, s.delivered, ", ".join(s.choices), s.why, Tick()))
        stays = ", ".join(f"{s.name} {s.delivered}" for s in own if s.stays)
        if stays:
            rows.append((*next(heads, ("", "", "")), "as delivered", stays))
    return Table(
        "Settings, device by device",
        (
            Column("Device", 16),
            Column("Type", 36),
            Column("Place", 24),
            Column("Setting", 34),
            Column("Set to", 40),
            Column("As delivered", 34),
            Column("Choices", 50),
            Column("Why", 36),
            Column("done", 10, "middle"),
        ),
        tuple(rows),
        by_hand=True,
    )
