"""What doors share: its wires are printed, listed and hashed like those of a door, and the doors' pages name them."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from tests.demo import examined, made
from tests.packet.pages import locks_of, opened, packet, table_rows, texts
from tests.packet.test_door_pages import TITLES
from tests.proof.expect import from_wiring
from tests.proof.ink import prove
from tests.proof.printing import print_door
from wiregen.build import Examined
from wiregen.packet.bind import section_hashes
from wiregen.packet.content import Table
from wiregen.packet.egress import egress_list
from wiregen.packet.grid import csv_files
from wiregen.packet.materials import materials_list
from wiregen.packet.record import Json, door_record, record
from wiregen.packet.tables import tables
from wiregen.reading.shared import SITE, as_door, wired
from wiregen.wiring.model import Wiring
from wiregen.wiring.wire import wire_site

REPO = Path(__file__).parents[2]
DEMOS = ("fernhill", "annex")


@cache
def _known(folder: str) -> Examined:
    return examined(folder)


def _pdf(known: Examined, wiring: Wiring) -> bytes:
    """The packet of what is shared alone."""
    return packet(known.site, {SITE: wiring}, {SITE: known.studies[SITE]})


@pytest.mark.parametrize("folder", [pytest.param(DEMOS[0], marks=pytest.mark.sweep), DEMOS[1]])
def test_every_conductor_stands_on_the_site_s_termination_sheet_once(folder: str) -> None:
    known = _known(folder)
    wiring = wire_site(known.site)
    pdf = _pdf(known, wiring)
    with opened(pdf) as document:
        heads = zip(document.pages, texts(pdf), strict=True)
        pages = [page for page, text in heads if text.startswith(f"{SITE} Shared devices Termination sheet")]
        rows = [row for page in pages for row in table_rows(page, TITLES)]
    wanted = sorted((c.wire, str(c.a), str(c.b), c.colour) for c in wiring.conductors)
    wires = {wire for wire, *_ in wanted}
    landed = [row for row in rows if row["Wire"] in wires]
    assert sorted((r["Wire"], r["From"].split()[0], r["To"].split()[0], r["Colour"]) for r in landed) == wanted
    assert wanted


@pytest.mark.parametrize("folder", [pytest.param(DEMOS[0], marks=pytest.mark.sweep), DEMOS[1]])
def test_the_ink_of_the_site_s_sheets_joins_what_is_listed(folder: str) -> None:
    """But for a reference that stands apart from its joint's name, which is ugly: the copper can be told."""
    site = _known(folder).site
    wiring = wire_site(site)
    defects = prove(print_door(site, as_door(site), wiring), from_wiring(wiring))
    assert [d for d in defects if d.kind != "reference"] == []


def test_its_sheets_stand_behind_the_list_of_shared_devices() -> None:
    files = made("annex")
    with opened(files["packet.pdf"]) as document:
        titles = [title for _, title, *_ in document.doc.get_outlines()]
    text = texts(files["packet.pdf"])[1]
    at = titles.index("Shared devices")
    assert titles[at + 1 : at + 4] == ["Wiring sheet", "Termination sheet", "Power sheet"]
    digest = json.loads(files["record.json"])["site"]["wiring"]["hash"]
    assert re.search(rf"^site Shared devices \w+ {digest[:8].upper()} \d+ \d+ \d+ \d+ – – – –$", text, re.MULTILINE)
    assert b"ANNEX-SITE-W" in files["sheets/site.svg"]


def test_the_record_is_what_its_schema_says() -> None:
    """Here, as the packet of a whole site is made for this module alone."""
    known, written = _known("annex"), json.loads(made("annex")["record.json"])
    assert _not_as_in_the_schema(written) == []
    assert len(written["doors"]) == len(known.site.doors)
    assert written["doors"][0]["conductors"]


def _not_as_in_the_schema(record: Json) -> list[str]:
    schema = json.loads((REPO / "schemas" / "record.json").read_text("utf-8"))
    errors = jsonschema.Draft202012Validator(schema).iter_errors(record)
    return [f"{list(error.absolute_path)}: {error.message}" for error in errors]


def test_tables_and_record_hold_its_wires_under_the_site() -> None:
    known = _known("fernhill")
    wiring, site = known.wirings[SITE], known.site
    told = csv_files(tables(site, known.wirings, known.studies))
    landed, pulled = (list(csv.DictReader(io.StringIO(told[f"{n}.csv"], newline=""))) for n in ("terminations", "cables"))
    assert sorted(r["wire"] for r in landed if r["door"] == SITE) == sorted(c.wire for c in wiring.conductors)
    assert {r["cable"] for r in pulled if r["door"] == SITE} == {*wiring.cables, *(link.ref for link in wiring.links)}
    told = {}
    for of in known.wirings:
        told_of = wired(site)[of], known.wirings[of], known.studies[of]
        told[of] = door_record(site, *told_of, section_hashes(site, *told_of, known.findings, known.wirings[SITE]), "")
    whole = {**record(site, known.findings, told, {}, {}), "pages": []}
    assert _not_as_in_the_schema(whole) == []
    own = whole["site"]["wiring"]
    assert [(c["wire"], c["from"], c["to"]) for c in own["conductors"]] == [
        (c.wire, str(c.a), str(c.b)) for c in wiring.conductors
    ]
    assert [c["ref"] for c in own["cables"]] == list(wiring.cables)
    assert [k["ref"] for k in own["links"]] == [k.ref for k in wiring.links]
    assert {s["at"] for s in own["splices"]} >= {str(j.end) for j in wiring.junctions}


def test_what_has_no_length_prints_none() -> None:
    """A link between two devices in one closet: 0 m would be read as a length."""
    known = _known("fernhill")
    wiring = known.wirings[SITE]
    assert any(not link.length for link in wiring.links)
    printed = (_pdf(known, wiring), print_door(known.site, as_door(known.site), wiring))
    text = "\n".join(page for pdf in printed for page in texts(pdf))
    assert not re.search(r"(?<![\d.])0 (m|ft)\b", text)
    told = csv_files(tables(known.site, known.wirings, known.studies))
    for name in ("cables.csv", "terminations.csv"):
        lengths = [r["length m"] for r in csv.DictReader(io.StringIO(told[name]))]
        assert "" in lengths
        assert "0" not in lengths


def test_its_pages_and_cover_and_index_carry_a_hash_that_covers_it() -> None:
    """The site's other sheets carry their own, so that one tells whether it is stale where only other sheets changed."""
    known = _known("fernhill")
    wiring = known.wirings[SITE]
    first, *others = wiring.conductors
    recoloured = replace(wiring, conductors=(replace(first, colour="PK"), *others))

    def codes(of: Wiring) -> list[str]:
        feet = [page.splitlines()[-1] for page in texts(_pdf(known, of))]
        return [re.sub(r".* (\S+ \S+ [0-9A-F]{8}) page .*", r"\1", foot) for foot in feet]

    before, after = codes(wiring), codes(recoloured)
    assert {code.split()[0] for code in before} == {"fernhill", SITE}
    other = [a.split()[0] for a, b in zip(before, after, strict=True) if a != b]
    assert before[:2] == [before[0]] * 2
    assert before[0] not in after
    assert other.count(SITE) == sum(code.startswith(f"{SITE} ") for code in before)
    assert len({code for code in before if code.startswith("fernhill")}) > 2


def test_a_terminal_that_a_door_uses_is_not_called_free() -> None:
    """Branch 2 of FB1 feeds D104, branch 8 nothing (from the specs)."""
    known = _known("fernhill")
    free = {(u.device, u.terminal) for u in known.wirings[SITE].unused}
    assert ("FB1", "F2+") not in free
    assert ("FB1", "F8+") in free
    for door in known.site.doors:
        assert not free & {(d.ref, m) for d in known.wirings[door].devices.values() if d.origin == "site" for m in d.used}


def _egress(folder: str) -> dict[str, tuple[str, str]]:
    """Way from supply to lock, and what the fire interface does, by door (its first lock)."""
    known = _known(folder)
    table = egress_list(known.site, locks_of(known.site, known.wirings)).blocks[1]
    assert isinstance(table, Table)
    rows = [[cell if isinstance(cell, str) else getattr(cell, "text", "") for cell in row] for row in table.rows]
    return {row[0]: (row[3], row[6]) for row in rows if row[0]}


def test_the_egress_list_names_the_wires_between_shared_devices() -> None:
    """By hand: FB1.f-1 goes to the common of A90's first relay on a wire of the site; stair 2 hangs on poles of K90."""
    ways = {door: way for door, (way, _) in _egress("fernhill").items()}
    assert not [way for way in ways.values() if "wiring of the site" in way]
    assert ways["D102"].startswith("FB1.f-1 plus → [site FB103a] → A90 COM1")
    assert ways["D125"].startswith("FB4.f-1 plus → [site FB403a, site FB403b] → K90 21–24")


def test_the_egress_list_says_only_of_what_hangs_on_a_dropped_output_that_it_drops() -> None:
    """The fire input of G1 drops `out`, on which FB1 hangs, not `aux`, on which FB2 and FB4 do (data sheet, site spec)."""
    fire = {door: does for door, (_, does) in _egress("fernhill").items()}
    assert {door for door, does in fire.items() if "G1 drops V+" in does} == {"D102", "D104", "D107"}
    assert {fire[door] for door in ("D110", "D118", "D130")} == {"none in this circuit"}
    assert fire["D116"].startswith("FA1 C6")
    assert {fire[door] for door in ("D124", "D125", "D126")} == {"FA1 C4 (fire contractor): in the feed of K90"}
    assert _egress("annex")["D113"][1] == "FA1 C4 (fire contractor): M1 closes and stays passive"


def test_nobody_is_named_where_the_specs_name_nobody() -> None:
    known = _known("annex")
    table = materials_list(known.site, known.wirings).blocks[0]
    assert isinstance(table, Table)
    assert {row[-1] for row in table.rows if len(row) > 1} >= {"", "fire contractor"}
