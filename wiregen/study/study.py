"""The study of a door: every figure that applies to it, and what a meter should show."""

from __future__ import annotations

from wiregen.reading.model import Door, Site
from wiregen.study.budget import budgets
from wiregen.study.calming import calming
from wiregen.study.conduit import conduits
from wiregen.study.contact import contact_figures
from wiregen.study.converter import converters
from wiregen.study.copper import Copper, supplied
from wiregen.study.ethernet import channels
from wiregen.study.fuse import fuses
from wiregen.study.line_end import line_ends
from wiregen.study.load import draws, ports
from wiregen.study.metered import inputs, locks, supplies
from wiregen.study.model import Figure, Study
from wiregen.study.operating import Operating
from wiregen.study.poe import poe
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


def study_door(site: Site, door: Door, wiring: Wiring, shared: Wiring | None) -> Study:
    """Figures and readings of a door, or of what is shared as if it were one; `shared` is what the site wires for all.

    Pure; refuses nothing: what a data sheet does not give is named in `missing`.  Raises NotSolved where the door's network has
    no operating point that can be found.
    """
    copper = Copper(wiring)
    loads = supplied(site, wiring, copper)
    found = ports(wiring)
    figures: list[Figure] = []
    missing: list[str] = []

    for at in loads:
        current = draws(door, wiring, loads, at)
        if current and current.formula not in current.inputs:  # a rating as it stands in the data sheet is no figure
            figures.append(current)
        if not current and not at.load.charge:  # what a battery gives and takes is the site's
            missing.append(f"current of {at.device}.{at.load.name} (its data sheet gives neither load nor coil)")
    of_ports, uses, unknown = poe(door, wiring, loads)
    of_converters, unlimited = converters(door, wiring, loads, uses)
    of_joints, sizeless = splices(wiring)
    of_conduits, unfilled = conduits(door.runs, wiring.cables.values(), wiring.links)
    figures += (
        *of_ports,
        *of_converters,
        *source_classes(site, loads),
        *fuses(door, wiring, loads, copper),
        *screws(wiring),
        *of_joints,
        *of_conduits,
    )
    missing += (*unknown, *unlimited, *sizeless, *unfilled)
    of_calmers, releases, untold = calming(site, wiring, loads)
    figures += of_calmers
    missing += untold
    of_contacts, unrated = contact_figures(door, wiring, loads)
    of_transfers, coreless = transfers(door, wiring, loads)
    figures += [*of_contacts, *of_transfers]
    missing += [*unrated, *coreless]
    supervised, unread = line_ends(site, wiring)
    figures += [figure for loop in supervised for figure in loop.figures]
    missing += unread
    of_lines, pairs, unheard = signals(site, wiring)
    figures += [*of_lines, *channels(wiring)]
    missing += unheard

    ohms = {c.wire: conductor_ohms(site, wiring, c) for c in wiring.conductors if c.cable and c.area}
    per_cable = {figure.about: figure for figure in ohms.values()}
    figures += [per_cable[ref] for ref in wiring.cables if ref in per_cable]
    figures += [*runs(site, door, wiring, loads), *starts(site, door, wiring, loads)]

    operating = Operating(site, door, wiring, shared, loads)
    of_loads, bandless = volts_at_loads(site, wiring, operating)
    of_outputs, drawn = budgets(site, wiring, operating)
    figures += [*of_loads, *of_outputs]
    missing += bandless

    added = {c.ref for c in wiring.calmers}
    locked = {(b.lock, b.group) for b in wiring.behaviours}
    readings = (
        *(continuity(c, ohms.get(c.wire)) for c in wiring.conductors if not {c.a.device, c.b.device} & added),
        *(r for at in loads if (at.device, at.load.name) in locked for r in insulation(at)),
        *calmers(wiring),
        *lines(pairs),
        *loops(wiring, supervised),
        *port_readings(found),
        *supplies(operating),
        *contacts(wiring, copper),
        *inputs(wiring, operating),
        *locks(wiring, operating),
    )
    return Study(
        door=door.id, figures=tuple(figures), readings=readings, releases=releases, draws=drawn, missing=tuple(missing)
    )
