"""A figure: a formula worked out over its inputs, nominal, at the least and at the most that their bands allow."""

from __future__ import annotations

from collections.abc import Callable

from wiregen.reading.model import Band
from wiregen.study.model import Figure


def figure(
    name: str,
    unit: str,
    formula: str,
    compute: Callable[..., float],
    source: str,
    about: str,
    *,
    falls: tuple[str, ...] = (),
    **inputs: Band | float,
) -> Figure:
    """`compute` takes the inputs by name and does what `formula` says.

    It must rise with each input, or fall with those that `falls` names; so least and most are each one evaluation.
    """
    bands = {n: (v.nominal, v.least, v.most) if isinstance(v, Band) else (v, v, v) for n, v in inputs.items()}
    nominal = {n: nom for n, (nom, _, _) in bands.items()}
    low = {n: most if n in falls else least for n, (_, least, most) in bands.items()}
    high = {n: least if n in falls else most for n, (_, least, most) in bands.items()}
    return Figure(
        name=name,
        value=compute(**nominal),
        unit=unit,
        least=compute(**low),
        most=compute(**high),
        formula=formula,
        inputs=nominal,
        source=source,
        about=about,
    )
