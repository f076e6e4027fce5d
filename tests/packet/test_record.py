"""The record: everything computed, as JSON that any reader takes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.packet import synthetic
from tests.packet.by_hand import DOOR, PIECES
from wiregen.making import _json
from wiregen.packet.bind import door_hash, section_hashes
from wiregen.packet.record import door_record, record
from wiregen.reading.model import Site, Where
from wiregen.review.model import Finding
from wiregen.study.model import Study
from wiregen.wiring.model import Wiring

ROOT = Path(__file__).parents[2]


def _record(site: Site, wiring: Wiring, study: Study, findings: tuple[Finding, ...]) -> Any:
    sections = section_hashes(site, site.doors[DOOR], wiring, study, findings)
    return record(site, findings, {DOOR: door_record(site, site.doors[DOOR], wiring, study, sections, "")}, {}, {})


def test_it_is_strict_json_and_keeps_its_order(site: Site, wiring: Wiring, study: Study) -> None:
    told = _record(site, wiring, study, ())
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_conductors_are_the_wiring_s(site: Site, wiring: Wiring, study: Study) -> None:
    door = _record(site, wiring, study, ())["doors"][0]
    wanted = sorted(tuple(line.split()[:4]) for line in PIECES.strip().splitlines())
    assert sorted((c["wire"], c["from"], c["to"], c["colour"]) for c in door["conductors"]) == wanted
    of = {c["wire"]: c for c in door["conductors"]}
    lock = of["K106a"]
    assert (lock["size_mm2"], lock["length_m"], lock["cable"], lock["core"]) == (1.0, 4.0, "W2", "RD")


def test_an_open_contact_has_no_most(site: Site, wiring: Wiring, study: Study) -> None:
    door = _record(site, wiring, study, ())["doors"][0]
    opened = [r for r in door["readings"] if r["state"] == "door open"]
    assert [(r["least"], r["most"]) for r in opened] == [(1e6, None)]


def test_findings_carry_their_place_and_doors_their_hash(site: Site, wiring: Wiring, study: Study) -> None:
    where = Where("doors/D101.yaml", 3, 5)
    own = Finding(code="c", level="stop", message="m", cure="x", source="s", where=where, door=DOOR)
    of_site = Finding(code="d", level="note", message="m", cure="x", source="s", where=where, doors=("D104",))
    told = _record(site, wiring, study, (own, of_site))
    door = told["doors"][0]
    assert [(f["code"], f["file"], f["line"], f["column"]) for f in door["findings"]] == [("c", "doors/D101.yaml", 3, 5)]
    assert [f["code"] for f in told["site"]["findings"]] == ["d"]
    assert door["hash"] == door_hash(site, site.doors[DOOR], wiring, study, (own, of_site))


def test_a_figure_carries_all_that_it_is_judged_by(site: Site, wiring: Wiring) -> None:
    door = _record(site, wiring, synthetic.study(DOOR), ())["doors"][0]
    assert len(door["figures"]) == len(synthetic.figures())
    told = next(f for f in door["figures"] if f["topic"] == "volts" and f["margin"] < 0)
    assert (told["about"], told["unit"], told["units"]) == ("Y3.coil", "V", {"u": "V", "r": "ohm", "i": "A"})
    assert (told["floor"], told["ceiling"], told["margin"]) == (21.6, None, pytest.approx((21.55 - 21.6) / 21.6))
    assert told["hand"] == pytest.approx(24 - 2 * 0.9 * 0.25)
    assert told["bound"].startswith("pulls in")
    assert "common practice" in told["note"]
    assert told["cure"].startswith("run W3")
    schema = json.loads((ROOT / "schemas" / "record.json").read_text("utf-8"))
    whole = {"$ref": "#/$defs/figure", "$defs": schema["$defs"]}
    for figure in door["figures"]:
        jsonschema.Draft202012Validator(whole).validate(figure)


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        _json({"volts": float("nan")})
