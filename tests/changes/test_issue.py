"""Issued states: what stands as it was, what is marked, and what is refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.changes.records import edit, record_of
from tests.cli.run import stopped, two_doors, wiregen
from tests.demo import site_of
from tests.proof.expect import from_wiring
from tests.proof.ink import prove
from tests.proof.printing import print_sheets
from wiregen.changes.issue import issue_text, issued
from wiregen.drafting.frame import field_for
from wiregen.drafting.layout import lay_out
from wiregen.drafting.names import text_box
from wiregen.drafting.revised import marked
from wiregen.drafting.sheet import draw_sheets
from wiregen.reading.load import load_site
from wiregen.wiring.wire import wire_door

NEXT = {"site.yaml": ("revisions:\n", "revisions:\n  - {rev: B, date: 2026-11-20, what: another fuse}\n")}


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site with its first issue."""
    site = two_doors(tmp_path_factory.mktemp("kept") / "mill")
    done = wiregen("issue", site)
    assert (done.returncode, done.stdout) == (0, "")
    assert (site / "issued" / "A.json").is_file()
    return site


def _copy(site: Path, to: Path) -> Path:
    return Path(shutil.copytree(site, to / "mill"))


def test_what_was_not_touched_stands_as_it_was_issued(kept: Path, tmp_path: Path) -> None:
    site = _copy(kept, tmp_path)
    edit(site, NEXT)
    edit(site, {"doors/E1.yaml": ("FB1.f-1, through", "FB1.f-2, through")})
    issue, now = json.loads((site / "issued" / "A.json").read_text("utf-8")), record_of(site)
    (e1, e2), (was_e1, was_e2) = now["doors"], issue["doors"]
    assert (e2["hash"], e2["stands"], e2["revised"]) == (was_e2["hash"], "A", None)
    assert (e1["hash"] != was_e1["hash"], e1["stands"]) == (True, "B")
    assert e1["revised"] == {"rev": "B", "since": "A", "wires": ["FB105a", "FB102a", "FB105b"], "gone": []}
    stands = now["site"]["stands"]
    assert (stands["Findings"], stands["Revision history"], stands["Sign-off"]) == ("A", "B", "A")


def test_an_issue_changes_nothing_while_nothing_is_changed(kept: Path, tmp_path: Path) -> None:
    without = _copy(kept, tmp_path)
    shutil.rmtree(without / "issued")
    told, plain = record_of(kept), record_of(without)
    assert [d["hash"] for d in told["doors"]] == [d["hash"] for d in plain["doors"]]
    assert told["site"]["sections"] == plain["site"]["sections"]


def test_a_door_s_own_revision_gives_the_letter(kept: Path, tmp_path: Path) -> None:
    site = _copy(kept, tmp_path)
    revision = "revisions: [{rev: Q, date: 2026-12-24, what: exit motion gone}]\ndevices:"
    edit(site, {"doors/E2.yaml": ("devices:", revision)})
    edit(site, {"doors/E2.yaml": ("  S2: {type: motion, at: inside, from: A1.out, tells: {tell: A1.exit}}\n", "")})
    e2 = record_of(site)["doors"][1]["revised"]
    assert (e2["rev"], e2["since"]) == ("Q", "A")
    assert any(text.startswith("A115a (YE, ") for text in e2["gone"])  # to the controller's exit input


def test_marks_keep_clear_of_everything_and_none_is_left_out() -> None:
    """A fuller door of the demo with every conductor marked: the ink still proves what is listed."""
    site = site_of("fernhill")
    door = site.doors["D116"]
    wiring = wire_door(site, door)
    wires = {*(c.wire for c in wiring.conductors), *(k.ref for k in wiring.links)}
    layouts = marked(lambda blanks: lay_out(wiring, field_for(site.house), site.house, blanks), wires, "AB")
    assert sorted(mark.wire for layout in layouts for mark in layout.marks) == sorted(wires)
    for layout in layouts:
        boxes = [*(mark.box for mark in layout.marks), *map(text_box, layout.texts)]
        for n, a in enumerate(boxes[: len(layout.marks)]):
            for b in boxes[n + 1 :]:
                assert a.x + a.w <= b.x or b.x + b.w <= a.x or a.y + a.h <= b.y or b.y + b.h <= a.y
    assert prove(print_sheets(draw_sheets(site, door, wiring, layouts, (), "0" * 64)), from_wiring(wiring)) == []


def test_an_issue_is_not_written_over(kept: Path) -> None:
    done = wiregen("issue", kept, "--quiet")
    assert done.returncode == 2
    assert "revision A was issued already: name a further revision" in done.stderr


def test_nothing_is_issued_while_a_door_is_stopped(tmp_path: Path) -> None:
    site = stopped(tmp_path / "mill")
    done = wiregen("issue", site, "--quiet")
    assert done.returncode == 1
    assert "a finding is at level stop" in done.stderr
    assert not (site / "issued").exists()


def _spoilt(issue: Any) -> str:
    issue["doors"][0]["conductors"][0]["colour"] = "PK"
    return json.dumps(issue)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("A", None, "is not as it was issued: its seal does not fit"),
        ("A", "not JSON", "is not as it was issued"),
        ("A", "[]", "is not as it was issued"),
        ("Z", "{}", "the site has no revision Z"),
    ],
)
def test_an_issue_that_is_none_is_told(kept: Path, tmp_path: Path, name: str, text: str | None, said: str) -> None:
    site = _copy(kept, tmp_path)
    spoilt = _spoilt(json.loads((site / "issued" / "A.json").read_text("utf-8"))) if text is None else text
    (site / "issued" / f"{name}.json").write_text(spoilt, encoding="utf-8")
    done = wiregen("check", site, "--quiet")
    assert done.returncode == 2
    assert f"issued/{name}.json:1:1: " in done.stderr.replace("\\", "/")
    assert said in done.stderr


def test_it_reads_back_what_was_kept(kept: Path) -> None:
    issue = issued(kept, load_site(kept))
    assert issue is not None
    assert issue.rev == "A"
    assert issue_text(issue.record) == (kept / "issued" / "A.json").read_text("utf-8")
