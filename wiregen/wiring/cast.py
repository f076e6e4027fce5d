"""Who plays in a door: its own devices, the site's shared ones and those of other doors, under one key each.

Keys are the designation for own and shared devices ("A1", "FB1") and door/designation for another door's ("D117/A1");
"site/G1" is a shared device that the door cannot name because it has a G1 of its own.
Places are named alike: "box" is the door's own, "closet-1" the site's, "D116/box" another door's.
"""

from __future__ import annotations

from dataclasses import replace

from wiregen.reading.model import Device, Door, Run, Site, Target
from wiregen.reading.shared import SITE


class Cast:
    """Looks devices and places up, seen from one door (or from the site, where `door` is None)."""

    def __init__(self, site: Site, door: Door | None) -> None:
        self.site = site
        self.door = door
        self.own: dict[str, Device] = dict(door.devices) if door else dict(site.shared)
        self._devices = dict(self.own)
        self._runs: dict[str, Run | None] = {}
        self._places: dict[str, str] = {}
        self._paths: dict[str, tuple[str, ...]] = {}

    def device(self, key: str) -> Device:
        """The device under that key; KeyError if there is none."""
        if key not in self._devices:
            self._devices[key] = self._find(key)
        return self._devices[key]

    def _find(self, key: str) -> Device:
        if "/" in key:
            door, ref = key.split("/", 1)
            if door == SITE:
                return self.site.shared[ref]
            return self.site.doors[door].devices[ref]
        return self.site.shared[key]

    def is_own(self, key: str) -> bool:
        return key in self.own

    def is_shared(self, key: str) -> bool:
        """True for a device of the site, seen from a door."""
        return key not in self.own and ("/" not in key or key.startswith(SITE + "/"))

    def shared(self) -> list[str]:
        """The keys of the site's devices."""
        return [f"{SITE}/{ref}" if ref in self.own else ref for ref in self.site.shared] if self.door else []

    def home(self, key: str) -> str | None:
        """The door in whose spec the device stands, None for the site."""
        if "/" in key:
            home = key.split("/", 1)[0]
            return None if home == SITE else home
        return self.door.id if self.door and key in self.own else None

    def key(self, target: Target, writer: str) -> str:
        """The key of the device that a relation of the device `writer` points at."""
        home = target.door or self.home(writer)
        if home is None or (target.door is None and target.device not in self.site.doors[home].devices):
            shadowed = self.door is not None and target.device in self.own
            return f"{SITE}/{target.device}" if shadowed else target.device
        if self.door and home == self.door.id:
            return target.device
        return f"{home}/{target.device}"

    def place(self, key: str) -> str:
        """The place of a device."""
        if key not in self._places:
            self._places[key] = self._named(self.device(key).place, self.home(key))
        return self._places[key]

    def _named(self, place: str, home: str | None) -> str:
        if "/" in place:
            door, bare = place.split("/", 1)
            return bare if self.door and door == self.door.id else place
        if home is None or (self.door and home == self.door.id) or place not in self.site.doors[home].runs:
            return place
        return f"{home}/{place}"

    def run(self, place: str) -> Run | None:
        """The run from a place inward, with its places named as this door sees them; None at the root."""
        if place not in self._runs:
            self._runs[place] = self._find_run(place)
        return self._runs[place]

    def _find_run(self, place: str) -> Run | None:
        if "/" in place:
            other, bare = place.split("/", 1)
            run = self.site.doors[other].runs.get(bare)
            transfer = f"{other}/{run.transfer}" if run and run.transfer else None
            return replace(run, place=place, parent=self._named(run.parent, other), transfer=transfer) if run else None
        if self.door and (run := self.door.runs.get(place)) is not None:
            return replace(run, parent=self._named(run.parent, self.door.id))
        return self.site.runs.get(place)

    def exposed(self, place: str) -> bool:
        if "/" in place:
            home, bare = place.split("/", 1)
            return bare in self.site.doors[home].exposed
        return place in self.site.exposed or (self.door is not None and place in self.door.exposed)

    def on_leaf(self, place: str) -> bool:
        """True where cable comes over a power transfer: the place moves with a leaf."""
        return any((run := self.run(each)) is not None and run.transfer for each in self.path(place))

    def path(self, place: str) -> tuple[str, ...]:
        """The places from this one inward to the root, itself first."""
        if place not in self._paths:
            steps = [place]
            while (run := self.run(steps[-1])) is not None and run.parent not in steps:
                steps.append(run.parent)
            self._paths[place] = tuple(steps)
        return self._paths[place]

    def meet(self, one: str, other: str) -> str | None:
        """The place where the ways inward from two places meet; None if no run joins them."""
        inward = self.path(other)
        return next((place for place in self.path(one) if place in inward), None)
