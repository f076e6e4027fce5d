"""Calmers (L8): what each coil wants and must never have, against what is fitted inside and what the stock holds.

A parallel part (diode, varistor, TVS, RC) lies across the coil, a limiter in its plus; at the coil, one of each a coil.
"""

from __future__ import annotations

from dataclasses import dataclass

from wiregen.reading.model import DataSheet, Device, Problem, Site, Takes
from wiregen.wiring.cast import Cast
from wiregen.wiring.fitting import At
from wiregen.wiring.model import Calmer, End, Remark
from wiregen.wiring.names import Names

SERIES = ("limiter",)
ONE_WAY = ("diode", "zener")


@dataclass(frozen=True)
class Pick:
    """A calmer of the stock for one coil."""

    load: At
    word: str
    ref: str
    sheet: DataSheet

    @property
    def in_series(self) -> bool:
        return self.word in SERIES

    @property
    def ends(self) -> tuple[str, str]:
        """Parallel: the mark at plus (a diode's cathode), then at minus.  Series: towards the supply, then the coil."""
        first, second = self.sheet.inside[0].between
        return (second, first) if self.word in ONE_WAY else (first, second)


def kind_of(sheet: DataSheet) -> str:
    """What a calmer is: the kind of the part inside it."""
    return sheet.inside[0].kind if sheet.inside else sheet.type


def pick(cast: Cast, site: Site, names: Names) -> tuple[list[Pick], list[Calmer], list[Remark], list[Problem]]:
    """The calmers of a door's own devices, those fitted inside included."""
    picks: list[Pick] = []
    calmers: list[Calmer] = []
    remarks: list[Remark] = []
    problems: list[Problem] = []
    for key, device in cast.own.items():
        calm = device.sheet.calm
        loads = [g for g in device.sheet.groups.values() if isinstance(g, Takes) and g.current != "mains" and g.first]
        if calm is None or not loads:
            continue
        load = loads[0]
        fitted = [word for word in calm.fitted if word != "none"]
        calmers += [Calmer(key, load.name, word, None, None, None, f"fitted in {device.sheet.type}") for word in fitted]
        for words in _wants(device, site, load, problems):
            found = next((s for w in words for s in _of_stock(device, site) if w == kind_of(s)), None)
            if found is None:
                text = f"{device.ref} wants {' or '.join(words)} and the site's stock has none: add one to `stock: calm`"
                remarks.append(Remark(text, device.where, "calmer-missing"))
                continue
            one = Pick(At(key, load.name), kind_of(found), names.next(kind_of(found)), found)
            picks.append(one)
            band = End(key, load.first) if one.word in ONE_WAY and load.first else None
            calmers.append(Calmer(key, load.name, one.word, one.ref, one.sheet, band, _why(device, one)))
    return picks, calmers, remarks, problems


def _of_stock(device: Device, site: Site) -> tuple[DataSheet, ...]:
    """What may be taken: the one that the device names, else the stock in its order."""
    named = site.sheets.get(device.calm or "")
    return (named,) if isinstance(named, DataSheet) else site.stock.calm


def _wants(device: Device, site: Site, load: Takes, problems: list[Problem]) -> list[list[str]]:
    """Kinds to add, best first, those across the coil and those in series apart; one named by the device instead.

    A diode is no calmer for alternating current.  A kind that the sheet forbids is refused where the device names it.
    """
    calm = device.sheet.calm
    assert calm is not None
    wants: tuple[str, ...] = () if device.calm == "none" else calm.wants
    if device.calm not in (None, "none"):
        wants = tuple(kind_of(sheet) for sheet in _of_stock(device, site))
        forbidden = [kind for kind in wants if kind in calm.never or (load.current == "ac" and kind in ONE_WAY)]
        if forbidden:
            problems.append(
                Problem(
                    device.where,
                    f"devices, {device.ref}, calm",
                    f"{device.sheet.type} must never have a {forbidden[0]}",
                    f"leave `calm` out, or write one of: {', '.join((*calm.wants, 'none'))}",
                )
            )
    allowed = [kind for kind in wants if kind not in calm.never and not (load.current == "ac" and kind in ONE_WAY)]
    across = [kind for kind in allowed if kind not in SERIES]
    return [words for words in (across, [kind for kind in allowed if kind in SERIES]) if words]


def _why(device: Device, one: Pick) -> str:
    where = "in its plus" if one.in_series else "across its coil"
    return f"{device.sheet.type} wants it; {one.sheet.type} of the stock, {where}, at the lock"
