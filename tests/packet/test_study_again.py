"""`wiregen study` on every door of the demo: whoever works a printed formula out on its printed inputs gets what is printed."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.demo import examined
from tests.packet.again import again
from wiregen import results
from wiregen.build import Examined
from wiregen.packet.wording import TOPICS

SPECS = Path(__file__).parents[2] / "door_specs"
DOORS = [(site, path.stem) for site in ("fernhill", "annex") for path in sorted((SPECS / site / "doors").glob("*.yaml"))]
# Prefixes and signs of units as they are printed.
PRINTED = {"M": 1e6, "k": 1e3, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12}
UNITS = {"ohm": "Ω", "m2": "mm²", "ohm/m": "Ω/km", "1": ""}
FACTORS = {"mm²": 1e-6, "Ω/km": 1e-3}


@cache
def _known(site: str) -> Examined:
    return examined(site)


def test_there_are_doors() -> None:
    assert len(DOORS) >= 25


@pytest.mark.parametrize(("site", "door"), DOORS)
def test_json_holds_what_its_formulas_give(site: str, door: str) -> None:
    told = json.loads(results.as_json(results.study_data(_known(site).studies[door])))
    assert told["figures"]
    for figure in told["figures"]:
        inputs = {name: math.inf if value is None else value for name, value in figure["inputs"].items()}
        wanted = figure["value"] if figure["hand"] is None else figure["hand"]
        got = again(figure["formula"], inputs)
        assert got == pytest.approx(math.inf if wanted is None else wanted, rel=1e-9, abs=1e-12), figure
        assert figure["source"], figure


def _blocks(text: str) -> Iterator[dict[str, str]]:
    """Each figure of a printed study: what its lines say, by the word that they begin with."""
    for block in text.split("\n\n"):
        lines = block.splitlines()
        if not any(line.startswith("    = ") for line in lines):
            continue
        told = {"head": lines[0]}
        for line in lines[1:]:
            match = re.match(r"    (=|with|by hand:|source:|note:|must|FAILS|cure:) ?(.*)", line)
            assert match, line
            told[match[1]] = match[2]
        yield told


def _number(text: str, unit: str) -> tuple[float, float]:
    """A printed quantity, and by how much what it stands for may differ: half of one in its last place."""
    match = re.match(r"(?:class )?(-?[\d.]+(?:e-\d+)?) ?(\S.*)?$", text)
    assert match, text
    value, sign, printed = float(match[1]), UNITS.get(unit, unit), match[2] or ""
    factor = FACTORS.get(printed, 1.0)
    if printed != sign and printed[1:] == sign:
        factor = PRINTED[printed[0]]
    else:
        assert printed == sign or unit == "class", (text, unit)
    last = 10.0 ** (math.floor(math.log10(abs(value))) - 2) if value else 0.0  # three figures are printed
    return value * factor, 0.5 * last * factor


@pytest.mark.parametrize(("site", "door"), DOORS)
def test_text_holds_what_its_formulas_give(site: str, door: str) -> None:
    study = _known(site).studies[door]
    figures = [figure for topic in TOPICS for figure in study.figures if figure.topic == topic]
    blocks = list(_blocks(results.study_text(study)))
    assert len(blocks) == len(figures)
    for told, figure in zip(blocks, figures, strict=True):
        inputs = dict(re.findall(r"(\w+) = (\S+?)(?: [^,=]+)?(?:, (?=\w+ =)|$)", told.get("with", "")))
        assert inputs.keys() == figure.inputs.keys()
        got = again(told["="], {name: float(value) for name, value in inputs.items()})
        value = told.get("by hand:") or told["head"].removeprefix(f"{figure.name} ({figure.about}): ").removeprefix(
            f"{figure.name}: ")  # fmt: skip
        value = value.split(" (")[0]
        if value in ("open", "no limit"):
            assert math.isinf(got)
            continue
        wanted, slack = _number(value, figure.unit)
        assert got == pytest.approx(wanted, rel=1e-9, abs=slack * 1.001), told


def test_units_of_all_inputs_are_told() -> None:
    """Each input has its unit, an empty one for a pure number."""
    for site in ("fernhill", "annex"):
        for study in _known(site).studies.values():
            for figure in study.figures:
                if figure.units:
                    assert figure.units.keys() == figure.inputs.keys(), figure


@pytest.mark.parametrize("formula", ["__import__('os')", "x.real", "[1][0]", "'a' * 3", "(lambda: 1)()"])
def test_nothing_but_arithmetic_is_worked_out(formula: str) -> None:
    with pytest.raises((TypeError, KeyError)):
        again(formula, {"x": 1.0})
