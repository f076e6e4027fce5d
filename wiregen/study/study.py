"""The study of a door: every figure that applies to it, and what a meter should show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiregen.reading.model import Door, Site
from wiregen.study.budget import budgets
from wiregen.study.calming import calming
from wiregen.study.circuit import Modelled, modelled
from wiregen.study.conduit import conduits
from wiregen.study.contact import behind, contact_figures, of_site
from wiregen.study.converter import converters, unlimited
from wiregen.study.copper import Copper, Loads, Supplied, supplied
from wiregen.study.ethernet import channels
from wiregen.study.fuse import fuses, guards
from wiregen.study.line_end import line_ends
from wiregen.study.load import draws, ports
from wiregen.study.metered import inputs, locks, supplies
from wiregen.study.model import Figure, Reading, Release, Study
from wiregen.study.operating import Operating
from wiregen.study.poe import poe
from wiregen.study.reached import cut_off
from wiregen.study.readings import (
    calmers,
    contacts,
    continuity,
    insulation,
    lines,
    loops,
    port_readings,
)
from wiregen.study.route import conductor_ohms
from wiregen.study.run import runs
from wiregen.study.screw import screws, splices
from wiregen.study.signal import signals
from wiregen.study.source_class import source_classes
from wiregen.study.starting import starts
from wiregen.study.transfer import transfers
from wiregen.study.volts import volts_at_loads
from wiregen.wiring.model import Wiring


@dataclass(frozen=True)
class Still:
    """What is known of a wiring without what its network draws: figures, readings with the supply off, what is missing."""

    figures: tuple[Figure, ...]
    releases: tuple[Release, ...]
    readings: tuple[Reading, ...]
    missing: tuple[str, ...]


def still(site: Site, door: Door, wiring: Wiring, loads: Loads, copper: Copper) -> Still:
    """Copper, joints, calmers, lines and classes of a door, or of what is shared."""
    of_joints, sizeless = splices(wiring)
    of_conduits, unfilled = conduits(door.runs, wiring.cables.values(), wiring.links)
    of_calmers, releases, untold = calming(site, wiring, loads)
    of_transfers, coreless = transfers(door, wiring, loads)
    supervised, unread = line_ends(site, wiring)
    of_lines, pairs, unheard = signals(site, wiring)
    ohms = {c.wire: conductor_ohms(site, wiring, c) for c in wiring.conductors if c.cable and c.area}
    per_cable = {figure.about: figure for figure in ohms.values()}
    added = {c.ref for c in wiring.calmers}
    figures = (
        *source_classes(site, loads),
        *guards(wiring, loads, copper),
        *screws(wiring),
        *of_joints,
        *of_conduits,
        *of_calmers,
        *of_transfers,
        *(figure for loop in supervised for figure in loop.figures),
        *of_lines,
        *channels(wiring),
        *(per_cable[ref] for ref in wiring.cables if ref in per_cable),
    )
    readings = (
        *(continuity(c, ohms.get(c.wire)) for c in wiring.conductors if not {c.a.device, c.b.device} & added),
        *calmers(wiring),
        *lines(pairs),
        *loops(wiring, supervised),
        *port_readings(ports(wiring)),
    )
    missing = (*unlimited(wiring, loads), *sizeless, *unfilled, *untold, *coreless, *unread, *unheard)
    return Still(figures, releases, readings, missing)


def with_network(wiring: Wiring, copper: Copper, operating: Operating) -> tuple[Reading, ...]:
    """What a meter shows against the frame, with the supply on, and at the contacts."""
    return (
        *insulation(wiring, tuple(operating.loads.values()), operating.circuit),
        *supplies(operating),
        *contacts(wiring, copper),
        *inputs(wiring, operating),
        *locks(wiring, operating),
    )


def study_door(site: Site, door: Door, wiring: Wiring, shared: Wiring | None, model: Modelled | None = None) -> Study:
    """Figures and readings of a door; `shared` is what the site wires for all, `model` that of the door where there is one.

    Pure; refuses nothing: what a data sheet does not give is named in `missing`.  Raises NotSolved where the door's network has
    no operating point that can be found.
    """
    copper = Copper(wiring)
    loads = supplied(site, wiring, copper)
    found = still(site, door, wiring, loads, copper)
    rated, unknown = ratings(door, wiring, loads, loads)
    of_ports, uses, powerless = poe(door, wiring, loads)
    of_converters = converters(door, wiring, loads, uses)
    known = behind(door, wiring, loads)
    of_contacts, unrated = contact_figures(wiring, known)
    operating = Operating(door, wiring, model or modelled(site, door, wiring, shared), loads)
    of_loads, bandless = volts_at_loads(site, wiring, operating)
    of_outputs, drawn = budgets(site, wiring, operating)
    figures = (
        *rated,
        *of_ports,
        *of_converters,
        *fuses(door, wiring, loads),
        *found.figures,
        *of_contacts,
        *runs(site, door, wiring, loads),
        *starts(site, door, wiring, loads),
        *of_loads,
        *of_outputs,
    )
    return Study(
        door=door.id, figures=figures, readings=(*found.readings, *with_network(wiring, copper, operating)),
        releases=found.releases, draws=drawn, uses=uses, cut_off=cut_off(door, operating), behind=of_site(wiring, loads, known),
        missing=(*unknown, *powerless, *found.missing, *unrated, *bandless),
    )  # fmt: skip


def ratings(
    door: Door, wiring: Wiring, loads: Loads, of: Sequence[Supplied]
) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Current of those loads, but for those whose data sheet gives it as it stands; and those of which it is not known."""
    figures: list[Figure] = []
    missing: list[str] = []
    for at in of:
        current = draws(door, wiring, loads, at)
        if current and current.formula not in current.inputs:  # a rating as it stands in the data sheet is no figure
            figures.append(current)
        if not current and not at.load.charge:  # what a battery gives and takes is the site's
            missing.append(f"current of {at.device}.{at.load.name} (its data sheet gives neither load nor coil)")
    return tuple(figures), tuple(missing)
