"""The comparison for people and as data: one row a way, best first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from wiregen.feeds.model import Judged
from wiregen.feeds.rank import ranked, recommended

TITLES = ("Way", "Passes", "Limiting figure, margin", "Would pass with", "Parts", "Mains failure", "Fire")


def rows(judged: Sequence[Judged]) -> Iterator[tuple[str, ...]]:
    """The cells under TITLES, best first; the recommended way is marked."""
    best = recommended(judged)
    for one in ranked(judged):
        name = one.candidate.name + (" (recommended)" if one is best else "")
        yield (name, "yes" if one.passes else f"no: {one.wrong}", limit(one), one.cure, parts(one), one.mains, one.fire)


def limit(one: Judged) -> str:
    figure, margin = one.limiting, one.margin
    return "" if figure is None or margin is None else f"{figure.name} of {figure.about}, {margin * 100:.1f} %"


def parts(one: Judged) -> str:
    told = [f"{count:+d} {name}" for name, count in one.devices.items()]
    told += [f"{metres:+.4g} m {name}" for name, metres in one.metres.items()]
    return ", ".join(told)


def feeds_text(door: str, judged: Sequence[Judged]) -> str:
    lines = [f"Door {door}: {len(judged)} ways to feed it, best first", ""]
    for n, row in enumerate(rows(judged), 1):
        lines.append(f"{n}. {row[0]}")
        lines += [f"    {title.lower()}: {cell}" for title, cell in zip(TITLES[1:], row[1:], strict=True) if cell]
    if recommended(judged) is None:
        lines.append("none passes: nothing is recommended")
    return "\n".join(lines)


def feeds_data(door: str, judged: Sequence[Judged]) -> dict[str, Any]:
    best = recommended(judged)
    return {
        "door": door,
        "recommended": best.candidate.name if best else None,
        "ways": [
            {
                "name": one.candidate.name,
                "controller": one.candidate.controller,
                "lock": one.candidate.lock,
                "feed": one.candidate.feed,
                "passes": one.passes,
                "wrong": one.wrong,
                "cure": one.cure,
                "limiting": None if one.limiting is None else {"name": one.limiting.name, "about": one.limiting.about},
                "margin": one.margin,
                "mains": one.mains,
                "fire": one.fire,
                "devices": dict(one.devices),
                "metres": dict(one.metres),
            }
            for one in ranked(judged)
        ],
    }
