"""Places and runs: that runs make a tree, that they join what relations join, and that what they name is there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wiregen.reading.document import Items, Table, Text
from wiregen.reading.doors import relations
from wiregen.reading.drafts import Draft
from wiregen.reading.model import Problem
from wiregen.reading.reach import Node, root
from wiregen.reading.references import Specs, kind_of
from wiregen.reading.schema import offered, suggestion


def of_places(specs: Specs) -> Iterator[Problem]:
    """All that is wrong with places, in every draft."""
    parents = {node(draft, place): node(draft, parent(run)) for draft in specs.drafts for place, run in draft.runs.items()}
    site = site_places(specs.site)
    for draft in specs.drafts:
        yield from _loops(draft, parents)
        yield from _runs(specs, draft, site)
        yield from _hung(specs, draft, site)
        yield from _joined(specs, draft, site, parents)
        yield from _exposed(draft, site)


def parent(run: Items | Table) -> Text:
    found: Text = run[0] if isinstance(run, Items) else run["to"]
    return found


def node(draft: Draft, place: str) -> Node:
    """A place that a door's runs name is that door's own; any other is the site's, or another door's as written."""
    return f"{draft.id}/{place}" if draft.id and draft.knows("runs", place) else str(place)


def site_places(site: Draft) -> set[str]:
    hung = {str(device["at"]) for device in site.devices.values() if "at" in device}
    return {*map(str, site.runs), *(str(parent(run)) for run in site.runs.values()), *hung}


def _loops(draft: Draft, parents: Mapping[Node, Node]) -> Iterator[Problem]:
    """Each loop once, at its run that comes first by name."""
    for place in draft.runs:
        path = [node(draft, place)]
        while (above := parents.get(path[-1])) is not None and above not in path:
            path.append(above)
        if above == path[0] == min(path):
            way = ", which hangs on ".join(step.removeprefix(f"{draft.id}/") for step in [*path[1:], above])
            wrong = f"{place} hangs on {way}: the runs go round in a loop"
            yield Problem(place.where, f"runs, {place}", wrong, "hang one of them on a place nearer the closet")


def _runs(specs: Specs, draft: Draft, site: set[str]) -> Iterator[Problem]:
    used = {str(device["at"]) for device in draft.devices.values() if "at" in device}
    for place, run in draft.runs.items():
        path, above = f"runs, {place}", parent(run)
        if draft.id and specs.site.knows("runs", place):
            yield Problem(place.where, path, f"the site has a run for {place} already", "take it out here")
        if "/" in above:
            door, _, far = above.partition("/")
            other = specs.doors.get(door)
            if other is None and door in specs.unread:
                continue
            if other is None:
                help_ = suggestion(door, specs.doors) or offered(sorted(specs.doors), "doors: ")
                yield Problem(above.where, path, f"there is no door {door}", help_)
            elif not other.knows("runs", far) and far not in site:
                known = other.written.get("runs", ())
                yield Problem(
                    above.where, path, f"{door} has no place {far}", suggestion(far, known) or offered(known, "its places: ")
                )
        elif (
            not draft.knows("runs", above)
            and above not in site | used
            and (near := suggestion(above, {*draft.runs, *site} - {place}))
        ):
            yield Problem(above.where, path, f"nothing is known of a place {above}", near)
        yield from _on_run(specs, draft, run, path)


def _on_run(specs: Specs, draft: Draft, run: Items | Table, path: str) -> Iterator[Problem]:
    transfer = (run[2] if len(run) > 2 else None) if isinstance(run, Items) else run.get("transfer")
    if transfer is not None:
        key = "devices" if draft.id else "shared"
        sheet = specs.sheet(draft, transfer)
        if not draft.knows(key, transfer):
            near = suggestion(transfer, draft.written.get(key, ()))
            yield Problem(transfer.where, path, f"there is no device {transfer} to lead it across", near or f"add it to {key}")
        elif sheet is not None and sheet.is_ != "transfer":
            yield Problem(transfer.where, path, f"{transfer} is a {sheet.is_}, not a power transfer", "name a transfer")
    if isinstance(run, Table) and "cable" in run:
        yield from kind_of(specs.library, run["cable"], "cable", f"{path}, cable")


def _hung(specs: Specs, draft: Draft, site: set[str]) -> Iterator[Problem]:
    """Every device hangs at a place that a run leads to; a power transfer may hang on its run alone."""
    key = "devices" if draft.id else "shared"
    known = {*draft.runs, *(str(parent(run)) for run in draft.runs.values()), *site}
    across = {str(run[2]) for run in draft.runs.values() if isinstance(run, Items) and len(run) > 2}
    across |= {str(run["transfer"]) for run in draft.runs.values() if isinstance(run, Table) and "transfer" in run}
    for ref, device in draft.devices.items():
        path = f"{key}, {ref}"
        at = device.get("at")
        sheet = specs.sheet(draft, ref)
        if isinstance(at, Text):
            alone = all(other.get("at") == at for other in draft.devices.values())
            if draft.id and "/" not in at and at not in known and not alone and not draft.knows("runs", at):
                wrong = f"no run joins {at} to the rest"
                near = suggestion(at, known) or f"add it to runs, such as {at}: [box, 5 m]"
                yield Problem(at.where, f"{path}, at", wrong, near)
        elif sheet is not None and ref not in across and not draft.written[key][ref].get("at"):
            if sheet.is_ == "transfer":
                yield Problem(ref.where, path, f"{ref} hangs on no run", f"name it in one: leaf: [frame, 1.2 m, {ref}]")
            else:
                yield Problem(ref.where, path, f"at is missing: where does {ref} hang?", "at: box")


def _joined(specs: Specs, draft: Draft, site: set[str], parents: Mapping[Node, Node]) -> Iterator[Problem]:
    """Both ends of every relation hang at places that runs join; each gap between two trees of runs is told once."""
    told: set[frozenset[Node]] = set()
    roots = {*parents.values(), *site}
    for ref, device in draft.devices.items():
        for relation, aim in ((each, aim) for each in relations(device) for aim in each.targets):
            holder = specs.holder(draft, aim)
            other = holder.devices.get(aim.device) if holder is not None else None
            if holder is None or other is None or "at" not in other or "at" not in device:
                continue
            ends = [node(draft, device["at"]), node(holder, other["at"])]
            here, there = (root(end, parents) if end in parents or end in roots else None for end in ends)
            if here is None or there is None or here == there or frozenset((here, there)) in told:
                continue
            if _of_no_door(specs, here) or _of_no_door(specs, there):
                continue
            told.add(frozenset((here, there)))
            wrong = f"no run joins {device['at']}, where {ref} hangs, to {ends[1]}, where {aim.device} hangs"
            path = f"{'devices' if draft.id else 'shared'}, {ref}, {relation.kind}"
            yield Problem(
                relation.where, path, wrong, f"add a run that joins {there} and {here}, such as {here}: [{there}, 30 m]"
            )


def _of_no_door(specs: Specs, place: Node) -> bool:
    """Whether it would be a place of a door that is not there, which was told at the run that names it."""
    door, slash, far = place.partition("/")
    return bool(slash) and (door not in specs.doors or not specs.doors[door].knows("runs", far))


def _exposed(draft: Draft, site: set[str]) -> Iterator[Problem]:
    used = {str(device["at"]) for device in draft.devices.values() if "at" in device}
    known = {*map(str, draft.written.get("runs", ())), *(str(parent(run)) for run in draft.runs.values()), *site, *used}
    for place in draft.sound.get("exposed", ()):
        if place not in known:
            yield Problem(
                place.where,
                "exposed",
                f"there is no place {place}",
                suggestion(place, known) or offered(sorted(known), "places: "),
            )
