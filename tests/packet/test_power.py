"""The power sheet: every figure with its limit and what is left, what fails told in words and in black, release curves."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple, get_args

import pytest

from tests.packet.by_hand import DOOR
from tests.packet.pages import opened, pdf_of_door, texts
from tests.packet.synthetic import figures, study
from wiregen.packet.content import Fails, Graphs, Notes, Section, Table
from wiregen.packet.figures import lines, rows
from wiregen.packet.power import power_sheet
from wiregen.packet.wording import TOPICS
from wiregen.reading.model import Site
from wiregen.study.model import Study, Topic
from wiregen.wiring.model import Wiring

REPO = Path(__file__).parents[2]


class Printed(NamedTuple):
    text: str
    words: list[dict[str, Any]]
    objects: dict[str, list[dict[str, Any]]]


def _imperial(site: Site) -> Site:
    return replace(site, house=replace(site.house, units="imperial", paper="letter"))


def _sheet(site: Site, told: Study) -> Section:
    return power_sheet(site, site.doors[DOOR], told)


def _table(section: Section) -> Table:
    (table,) = (b for b in section.blocks if isinstance(b, Table))
    return table


def _row(section: Section, of: str, name: str) -> tuple[Any, ...]:
    return next(row for row in _table(section).rows if len(row) > 1 and getattr(row[0], "text", "") == of and row[1] == name)


def _pages(site: Site, wiring: Wiring, told: Study) -> list[Printed]:
    """The printed pages of the power sheet: their text, their words, and characters, lines and curves."""
    with opened(pdf_of_door(site, site.doors[DOOR], wiring, told)) as document:
        pages = [(p.extract_text(), p) for p in document.pages]
        found = [
            Printed(text, p.extract_words(), p.objects) for text, p in pages if text.split("\n")[0].endswith(" Power sheet")
        ]
    assert found
    return found


@pytest.fixture(scope="module")
def printed(site: Site, wiring: Wiring) -> list[Printed]:
    return _pages(site, wiring, study(DOOR))


@pytest.fixture(scope="module")
def section(site: Site) -> Section:
    return _sheet(site, study(DOOR))


def test_every_topic_has_its_title() -> None:
    assert list(TOPICS) == sorted(get_args(Topic), key=list(TOPICS).index)
    assert set(TOPICS) == set(get_args(Topic))


def test_figures_stand_under_their_topics_in_order(section: Section) -> None:
    headings = [row[0] for row in _table(section).rows if len(row) == 1]
    assert headings == [TOPICS[t] for t in ("budget", "battery", "port", "volts", "screw")]


def test_a_figure_shows_its_band_its_limit_and_what_is_left(section: Section) -> None:
    """Worked out by hand: 24 V, 22.667 V and 27.3 V less 2 × 0.9 ohm × 0.25 A; 22.217 V is 0.617 V above 21.6 V."""
    _, _, least, nominal, most, unit, came, must, _, left = _row(section, "Y1.coil", "volts, idle")
    assert (least, nominal.text, most, unit) == ("22.2", "23.8", "26.9", "V")
    assert must == "≥ 21.6 V (pulls in, data sheet magnet-24)"
    assert left.replace("\u00a0", " ") == "0.62 V, +2.9 %"
    assert came == "network; by hand 23.6 V; note\u00a02"


def test_a_budget_says_what_uses_what(section: Section) -> None:
    row = _row(section, "PS1.out", "drawn from out, alarm")
    assert row[6] == "A1: 110 mA, U1 reader: 110 mA, " + ", ".join(f"Y{n}: 110 mA" for n in range(1, 9))
    assert row[-1].replace("\u00a0", " ") == "300 mA, +20 %"  # 1.5 A less ten times 0.12 A


def test_what_fails_is_told_first_in_words_and_in_black(section: Section) -> None:
    first = section.blocks[0]
    assert isinstance(first, Notes)
    assert first.caution
    wanted = [f for f in figures() if f.margin is not None and f.margin < 0]
    assert len(first.items) == len(wanted) == 5
    for item, figure in zip(first.items, wanted, strict=True):
        assert item.startswith(f"{figure.about}: {figure.name}: ")
        assert figure.cure.replace("2 x 1.5 mm2", "2 × 1.5 mm²") in item
    marked = [row for row in _table(section).rows for cell in row if isinstance(cell, Fails)]
    assert len(marked) == 5


def test_failing_rows_are_white_on_black_on_paper(printed: list[Printed]) -> None:
    marked = 0
    for page in printed:
        black = [r for r in page.objects["rect"] if r["fill"] and r["height"] > 3 and set(r["non_stroking_color"]) == {0}]
        chars = page.objects["char"]
        for n, char in enumerate(chars):
            if "".join(c["text"] for c in chars[n : n + 5]) == "FAILS":
                assert set(char["non_stroking_color"]) == {1}
                middle = (char["top"] + char["bottom"]) / 2
                assert any(r["x0"] < char["x0"] < r["x1"] and r["top"] < middle < r["bottom"] for r in black)
                marked += 1
    assert marked == 5


def test_where_all_holds_nothing_is_marked(site: Site) -> None:
    held = tuple(f for f in figures() if f.margin is None or f.margin >= 0)
    told = _sheet(site, Study(door=DOOR, figures=held))
    assert not any(isinstance(b, Notes) and b.caution for b in told.blocks)
    assert not any(isinstance(cell, Fails) for row in _table(told).rows for cell in row)


def test_alike_screws_are_told_in_brief_and_none_that_fails_is_left_out(site: Site) -> None:
    screws = [f for f in figures() if f.topic == "screw"]
    for limit, failing in ((4e-6, 0), (1e-6, 6)):
        bounded = tuple(replace(f, ceiling=limit) for f in screws)
        rows = [row for row in _table(_sheet(site, Study(door=DOOR, figures=bounded))).rows if len(row) > 1]
        assert sum(any(isinstance(c, Fails) for c in row) for row in rows) == failing
        more = re.search(r"(\d+) more", str(rows[-1][1]))
        assert more
        assert len(rows) - 1 + int(more[1]) == len(screws)


def test_what_nobody_at_the_door_needs_is_left_to_the_study(section: Section) -> None:
    assert not [row for row in _table(section).rows if len(row) > 1 and row[1] == "one core, end to end"]


def test_many_without_a_limit_stand_in_one_row() -> None:
    """W3: 1.75e-8 ohm m × 30 m (27 to 33 m) over 1 mm²."""
    told = rows(lines([f for f in study(DOOR).figures if f.topic == "conductor"], {}), {})
    (row,) = (row for row in told if len(row) > 1 and row[1] == "one core, end to end")
    assert row[0] == ""
    told = row[2].replace("\u00a0", " ").split("; ")
    assert len(told) == 7 + 1
    assert told[2] == "W3 0.525 Ω (0.473 to 0.578 Ω)"
    assert told[-1] == "IEC 60228, class 5"


def test_lengths_are_in_the_units_of_the_house(site: Site) -> None:
    """55 m are 180.4 ft, 279 m 915.6 ft (0.3048 m a foot, exactly)."""
    row = _row(_sheet(_imperial(site), study(DOOR)), "W3", "longest run that passes")
    assert (row[3].text, row[5]) == ("916", "ft")
    assert row[7].startswith("≥ 180 ft")
    metric = _row(_sheet(site, study(DOOR)), "W3", "longest run that passes")
    assert (metric[3].text, metric[5]) == ("279", "m")


def test_defaults_carry_the_number_under_which_they_are_told(section: Section) -> None:
    (notes,) = (b for b in section.blocks if isinstance(b, Notes) and b.numbered)
    assert notes.items == ("ageing 0.8: common practice, no source", "contacts of 50 mΩ each: common practice, no source")
    assert _row(section, "PS1", "current that it lasts with")[6].endswith("note\u00a01")


def test_what_was_not_computed_is_told(printed: list[Printed]) -> None:
    assert study(DOOR).missing[0] in " ".join(page.text for page in printed)


def test_locks_that_run_alike_share_a_graph(section: Section) -> None:
    (shown,) = (b for b in section.blocks if isinstance(b, Graphs))
    assert [graph.title for graph in shown.items] == ["Y1 to Y3", "Y5"]
    assert [trace.label for trace in shown.items[0].traces] == ["with V1 to V3 (diode)", "without calmer"]
    assert shown.items[0].level == ("lets go at 30 mA at the latest", pytest.approx(30))


def test_the_ink_of_a_curve_is_the_curve(site: Site, wiring: Wiring) -> None:
    """Its points against the numbers beside its axes, read as a person would: 0.26 A that die away with 21 ms."""
    (page,) = _pages(site, wiring, Study(door=DOOR, releases=study(DOOR).releases[:1]))
    assert "time after the contact opens, ms" in page.text
    assert "current, mA" in page.text
    at = {w["text"]: ((w["x0"] + w["x1"]) / 2, (w["top"] + w["bottom"]) / 2) for w in page.words}
    per_ms, per_ma = (at["80"][0] - at["20"][0]) / 60, (at["200"][1] - at["50"][1]) / 150
    curves = [o["pts"] for o in page.objects["curve"] if abs(o["linewidth"] - 1.1) < 0.01]
    (before, (x0, y0), *rest) = max(curves, key=len)
    assert before[1] == y0
    assert (at["20"][0] - x0) / per_ms == pytest.approx(20, abs=0.3)
    assert 250 < 200 + (y0 - at["200"][1]) / per_ma < 270
    assert len(rest) == 200
    for x, y in rest:
        assert 260 + (y - y0) / per_ma == pytest.approx(260 * math.exp(-(x - x0) / per_ms / 21), abs=1.5)


def test_curves_are_lines_and_live_text_in_our_face_and_grey(printed: list[Printed]) -> None:
    for _, _, objects in printed:
        assert not objects.get("image")
        assert {c["fontname"].split("+")[-1] for c in objects["char"]} == {"SourceSansPro-Regular", "SourceSansPro-Bold"}
        inks = [o["stroking_color"] for o in (*objects.get("curve", ()), *objects.get("line", ())) if o["stroke"]]
        assert all(isinstance(ink, int) or len(set(ink)) == 1 for ink in inks)
    dashes = {str(o["dash"]) for page in printed for o in page.objects.get("curve", ())}
    assert len(dashes) >= 2  # told apart by their strokes


@pytest.mark.sweep
def test_a_plot_does_not_depend_on_the_user_s_own_settings(tmp_path: Path) -> None:
    program = (
        "import hashlib\nfrom tests.packet.synthetic import study\nfrom wiregen.packet.curves import draw, lines_above\n"
        "from wiregen.packet.release import release_curves\n"
        "graph = release_curves(study('D').releases).items[0]\n"
        "text = draw(graph, 250, lines_above(graph)).asString('svg')\n"
        "print(hashlib.sha256(text.encode()).hexdigest())\n"
    )
    (tmp_path / "matplotlibrc").write_text("lines.linewidth: 7\naxes.grid: True\nfont.size: 20\nxtick.direction: in\n")
    runs = [
        subprocess.run([sys.executable, "-c", program], cwd=REPO, capture_output=True, text=True, check=True,
                       env={"PATH": "/usr/bin:/bin", "PYTHONPATH": str(REPO), **more}).stdout
        for more in ({"MATPLOTLIBRC": str(tmp_path / "matplotlibrc"), "HOME": str(tmp_path)}, {"HOME": str(tmp_path)})
    ]  # fmt: skip
    assert runs[0] == runs[1]


def test_a_study_is_told_without_what_draws() -> None:
    program = (
        "import sys\nfrom wiregen import results\nfrom tests.packet.synthetic import study\n"
        "results.study_text(study('D')); results.study_data(study('D'))\n"
        "assert not {'matplotlib', 'reportlab', 'schemdraw'} & sys.modules.keys()\n"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=REPO, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_a_door_without_curves_does_not_wake_matplotlib() -> None:
    program = (
        "import sys\nfrom pathlib import Path\nfrom tests.packet.by_hand import DOOR, wire_d101\n"
        "from tests.packet.pages import pdf_of_door\nfrom wiregen.reading.load import load_site\n"
        "from wiregen.study.model import Study\n"
        "site = load_site(Path('tests/packet/specs/yard'))\n"
        "pdf_of_door(site, site.doors[DOOR], wire_d101(site), Study(door=DOOR))\n"
        "assert 'matplotlib' not in sys.modules\n"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=REPO, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_the_sheet_stands_between_termination_and_record(site: Site, wiring: Wiring) -> None:
    pages = texts(pdf_of_door(site, site.doors[DOOR], wiring, study(DOOR)))
    heads = list(dict.fromkeys(re.split(r"(?<=Laboratory 1) ", page.splitlines()[0])[-1] for page in pages))
    wanted = ["Data sheet", "Termination sheet", "Power sheet", "Egress and release chain", "Test record", "Redline form"]
    assert heads == wanted


def test_the_bar_of_what_fails_reaches_over_its_limit(printed: list[Printed]) -> None:
    """The limit at a quarter of the width is the least that is allowed, at three quarters the most."""
    over = bars = 0
    for page in printed:
        strokes = [o for o in page.objects["line"] if o["linewidth"] == 1.0 and abs(o["x0"] - o["x1"]) < 0.01]
        hairs = [o for o in page.objects["line"] if o["linewidth"] == 0.35 and 30 < o["width"] < 60 and o["height"] < 0.01]
        for hair in hairs:
            middle = hair["top"]
            mine = [o for o in strokes if o["top"] < middle < o["bottom"] and hair["x0"] < o["x0"] < hair["x1"]]
            found = [o for o in page.objects["rect"] if 3 < o["height"] < 4 and o["top"] < middle < o["bottom"] and o["fill"]]
            bar = max((o for o in found if hair["x0"] - 1 <= o["x0"] <= hair["x1"]), key=lambda o: o["width"])
            (limit,) = mine
            floor = (limit["x0"] - hair["x0"]) / hair["width"] < 0.5
            over += bar["x0"] < limit["x0"] - 0.05 if floor else bar["x0"] > limit["x0"] + 0.05 or (
                bar["x1"] > limit["x0"] + 0.05 and bar["width"] > 1.5)  # fmt: skip
            bars += 1
    assert bars > 10
    assert over == 5
