"""The study of what the doors share: what all of them draw together, against what the site has for them.

Doors are studied first and apart, each with the outputs of the site as bands of volts.  Here their draws are added up, and the
network of the site proves that the bands hold, or says where not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from wiregen.reading.model import Changeover, Contact, Site
from wiregen.reading.shared import SITE
from wiregen.study.circuit import modelled
from wiregen.study.contact import Behind, behind, contact_figures, switched
from wiregen.study.hanging import Hanging, plain
from wiregen.study.model import Figure, Study
from wiregen.study.operating import Operating
from wiregen.study.poe import PortUse, poe, switch_budget
from wiregen.study.promise import promised, promises
from wiregen.study.run import runs
from wiregen.study.standby import batteries
from wiregen.study.study import ratings, still, with_network
from wiregen.study.summed import sums
from wiregen.study.volts import volts_at_loads
from wiregen.wiring.model import Wiring

Key = tuple[str, str]  # device and group
OF_OUTPUTS = ("budget", "fuse")  # topics


def study_site(site: Site, shared: Wiring, wirings: Mapping[str, Wiring], studies: Mapping[str, Study]) -> Study:
    """Figures and readings of what the doors share; `wirings` and `studies` are those of the doors, by id.

    Pure; names in `missing` what a data sheet does not give.  Raises NotSolved where the network of the site has no operating
    point that can be found.
    """
    hanging = Hanging(site, shared, wirings, studies.values())
    door, own = hanging.door, hanging.own
    found = still(site, door, shared, own, hanging.copper)
    consumers = tuple(at for at in own if not hanging.passed_on(at))
    rated, unknown = ratings(door, hanging.wiring, hanging.all, consumers)
    of_ports, uses, powerless = poe(door, shared, own)
    operating = Operating(door, hanging.wiring, modelled(site, door, hanging.wiring, None), consumers)
    of_loads, bandless = volts_at_loads(site, hanging.wiring, operating)
    of_contacts, unrated = _contacts(hanging, studies)
    of_batteries, capless = batteries(hanging)
    figures = (
        *sums(hanging),
        *of_batteries,
        *of_ports,
        *_switches(site, [*(use for study in studies.values() for use in study.uses), *uses]),
        *rated,
        *found.figures,
        *of_contacts,
        *_runs(hanging),
        *promises(hanging, operating),
        *of_loads,
    )
    return Study(
        door=SITE, figures=figures, readings=(*found.readings, *with_network(shared, hanging.copper, operating)),
        releases=found.releases, uses=uses, parts={str(at): hanging.parts(at) for at in hanging.outputs},
        missing=(*unknown, *powerless, *capless, *found.missing, *unrated, *bandless),
    )  # fmt: skip


def short(study: Study, site: Site) -> Study:
    """What the study of the site, its rules and its sheets ask of a door's: draws, ports, contacts, attacks, and the figures of
    what is shared."""
    figures = tuple(f for f in study.figures if f.topic in OF_OUTPUTS and plain(f.about).split(".")[0] in site.shared)
    return replace(study, figures=figures, readings=(), releases=(), states=None, whole=False)


def _runs(hanging: Hanging) -> Iterator[Figure]:
    """Runs between devices of the site, with all doors on them."""
    counted_on = promised(hanging)
    doors = {str(inlet): doors for inlet, (_, doors) in counted_on.items()}
    least = {inlet: volts for inlet, (volts, _) in counted_on.items()}
    for figure in runs(hanging.site, hanging.door, hanging.wiring, hanging.all, least):
        yield replace(figure, doors=doors.get(figure.about, ()))


def _switches(site: Site, uses: Iterable[PortUse]) -> Iterator[Figure]:
    """The ports of all doors against what their switch has."""
    known: dict[str, list[PortUse]] = {}
    for use in uses:
        known.setdefault(plain(use.source), []).append(replace(use, source=plain(use.source)))
    for ref in site.shared:
        own = known.get(ref, [])
        doors = tuple(dict.fromkeys(use.door for use in own if use.door in site.doors))
        yield from (replace(figure, doors=doors) for figure in switch_budget(site, ref, own))


def _contacts(hanging: Hanging, studies: Mapping[str, Study]) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """What the site's own circuits put on their contacts, all doors behind them counted; and contacts that doors share."""
    known: dict[Key, tuple[Behind, ...]] = {**behind(hanging.door, hanging.wiring, hanging.all)}
    of_doors: dict[Key, list[tuple[str, Behind]]] = {}
    for door, study in studies.items():
        for one, loads in study.behind.items():
            of_doors.setdefault(one, []).extend((door, load) for load in loads)
    doors: dict[Key, tuple[str, ...]] = {}
    for at in hanging.own:
        if hanging.passed_on(at):
            key = at.device, at.load.name
            under = dict.fromkeys(_beneath(hanging, key))
            theirs = [each for one in under for each in of_doors.get(one, ())]
            known[key] = (*(load for _, load in theirs), *(load for one in under for load in known.get(one, ())))
            doors[key] = tuple(dict.fromkeys(door for door, _ in theirs))
    figures, missing = contact_figures(hanging.shared, known)
    behind_contact: dict[str, tuple[str, ...]] = {}
    for chain in hanging.shared.chains:
        for link in chain.links:
            about = f"{link.device}.{link.group}"
            behind_contact[about] = (*behind_contact.get(about, ()), *doors.get((chain.load, chain.load_group), ()))
    told = [replace(figure, doors=behind_contact.get(figure.about, ())) for figure in figures]
    for key, behind_it in of_doors.items():
        more, unrated = _between_doors(hanging, key, behind_it)
        told += more
        missing = (*missing, *unrated)
    return tuple(told), missing


def _beneath(hanging: Hanging, inlet: Key) -> Iterator[Key]:
    """Outputs and loads of the site that live on a pair of terminals that passes on what comes in."""
    at = hanging.own.at(*inlet)
    for output in hanging.passed_on(at) if at else ():
        yield inlet[0], output.name
        for load in hanging.own.on(inlet[0], output.name):
            yield load.device, load.load.name
            yield from _beneath(hanging, (load.device, load.load.name))


def _between_doors(
    hanging: Hanging, key: Key, behind_it: Sequence[tuple[str, Behind]]
) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """A contact of the site that stands in the circuits of several doors, with what each has behind it."""
    device, doors = hanging.shared.devices.get(key[0]), tuple(dict.fromkeys(door for door, _ in behind_it))
    group = device.sheet.groups.get(key[1]) if device else None
    if device is None or not isinstance(group, Contact | Changeover) or len(doors) < 2:
        return (), ()
    figures, missing = switched(device.ref, device.sheet, group, [load for _, load in behind_it], device.exposed)
    return tuple(replace(figure, doors=doors) for figure in figures), missing
