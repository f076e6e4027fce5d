"""The worked example of the README, its commands as they stand: three doors changed, the right pages, each mark where the
change is.  Of the demo site's doors it has those three and one that is not touched, so that it is soon made."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.demo import site_of
from tests.packet.pages import texts
from tests.proof.page import Page
from tests.proof.reader import read_pages
from wiregen.reading.load import load_site
from wiregen.reading.model import Door

ROOT = Path(__file__).parents[2]
DOORS = ("D101", "D102", "D104", "D127")
# By hand from the edits: branch 8 of a fuse board begins at its terminal 17, branch 7 at 15; D104's magnet has a plus to the
# splice and one on to the button, D102's the minus alone on its own sheet, its plus on that of the shared devices.
MARKED = {"site": {"FB115a"}, "D101": {"W1"}, "D102": {"FB102a"}, "D104": {"FB117a", "FB117b", "FB102a"}}


@dataclass(frozen=True)
class Example:
    issue: Any
    pdf: bytes
    pages: list[str]  # of the change packet


def test_its_commands_give_the_right_pages_with_each_mark_where_the_change_is(tmp_path: Path) -> None:
    """One test, so that the packets are made once."""
    example = _example(tmp_path)
    _the_doors_that_changed_are_bound_whole_and_no_other(example)
    _the_cover_tells_what_to_take_out_and_what_to_put_in(example)
    _each_mark_stands_at_what_changed(example)
    _the_same_rows_are_marked_on_the_termination_sheets(example)


def _example(folder: Path) -> Example:
    shutil.copytree(ROOT / "door_specs", folder / "door_specs")
    site = folder / "door_specs" / "fernhill"
    for path in (site / "doors").iterdir():
        if path.stem not in DOORS:
            path.unlink()
    text = (site / "site.yaml").read_text(encoding="utf-8")
    (site / "site.yaml").write_text(re.sub(r"^joint:\n(  .*\n)+", "", text, flags=re.M), encoding="utf-8")
    script = f'set -e\nwiregen() {{ "{sys.executable}" -m wiregen "$@" --quiet; }}\n' + _commands()
    env = {**os.environ, "PYTHONPATH": str(ROOT), "WIREGEN_CACHE": str(folder / "cache")}
    done = subprocess.run(["bash", "-c", script], cwd=folder, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    pdf = (folder / "job" / "output" / "changes" / "B.pdf").read_bytes()
    issue = json.loads((folder / "job" / "fernhill" / "issued" / "B.json").read_text(encoding="utf-8"))
    return Example(issue, pdf, texts(pdf))


def _commands() -> str:
    block = re.search(r"Worked example.*\n\n((?:    .*\n)+)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert block is not None
    return block[1]


def test_its_edits_suit_the_whole_demo_site(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "door_specs", tmp_path / "door_specs")
    edits = "".join(line for line in _commands().splitlines(keepends=True) if line.split()[0] in ("cp", "sed"))
    subprocess.run(["bash", "-ec", edits], cwd=tmp_path, check=True)
    doors, before = load_site(tmp_path / "job" / "fernhill").doors, site_of("fernhill").doors
    assert {door for door in doors if _targets(doors[door]) != _targets(before[door])} == {"D101", "D102", "D104"}


def _targets(door: Door) -> list[str]:
    return [str(target) for device in door.devices.values() for r in device.relations for target in r.targets]


def _code(page: str) -> tuple[str, str, str]:
    """Door (or site), revision and number of a page by its foot, or by what reads upwards beside a drawing."""
    foot = re.search(r"(\S+) (\S+) [0-9A-F]{8} page (\S+) of", page)
    if foot:
        return foot[1], foot[2], foot[3]
    beside = re.search(r"page (\d+) of \d+ · (\S+) (\S+) ", page)
    assert beside is not None, page
    return beside[2], beside[3], beside[1]


def _the_doors_that_changed_are_bound_whole_and_no_other(example: Example) -> None:
    codes = [_code(page) for page in example.pages]
    assert {of for of, _, _ in codes} == {"fernhill", "site", "D101", "D102", "D104"}
    assert {rev for of, rev, _ in codes} == {"C"}
    assert codes[0] == ("fernhill", "C", "i")
    for door in ("D101", "D102", "D104"):
        numbers = [int(number) for of, _, number in codes if of == door]
        assert numbers == list(range(numbers[0], numbers[0] + len(numbers)))
        assert len(numbers) == sum(section["pages"] for section in example.issue["pages"] if section["of"] == door)


def _the_cover_tells_what_to_take_out_and_what_to_put_in(example: Example) -> None:
    rows = re.findall(r"^(D\d+|site) \D.*? (\d+) to (\d+) (\d+) to (\d+)$", example.pages[0], re.M)
    assert [row[0] for row in rows] == ["site", "D101", "D102", "D104"]
    first, held = 1, {}
    for section in example.issue["pages"]:
        held.setdefault(section["of"], []).extend(range(first, first + section["pages"]))
        first += section["pages"]
    for of, *numbers in rows:
        out_from, out_to, in_from, in_to = map(int, numbers)
        assert [*range(out_from, out_to + 1)] == held[of]
        assert [*range(in_from, in_to + 1)] == [int(n) for each, _, n in map(_code, example.pages) if each == of]


def _each_mark_stands_at_what_changed(example: Example) -> None:
    found: dict[str, set[str]] = {}
    for page, text in zip(read_pages(example.pdf), example.pages, strict=True):
        if "Identification number" in text and "Wiring sheet" in text:
            found.setdefault(_code(text)[0], set()).update(_marked(page))
    assert found == MARKED


def _marked(page: Page) -> Iterator[str]:
    """The number nearest to each triangle with a letter in it, which stands within 3 mm of it."""
    numbers = [t for t in page.texts if re.fullmatch(r"[A-Z-]+ \w+\d[a-z]|W\d+", t.text)]
    for x0, y0, x1, y1 in _triangles(page):
        if any(t.text == "C" and x0 < t.box.x0 and t.box.x1 < x1 and y0 <= t.base < y1 for t in page.texts):
            gaps = [max(t.box.x0 - x1, x0 - t.box.x1, 0.0) + max(t.base - y1, y0 - t.base - 2.5, 0.0) for t in numbers]
            assert min(gaps) < 3.0
            yield numbers[gaps.index(min(gaps))].text.split()[-1]


def _triangles(page: Page) -> Iterator[tuple[float, float, float, float]]:
    """Boxes of outlines of one level side and two sloping ones."""
    by_path: dict[int, list[Any]] = {}
    for stroke in page.strokes:
        by_path.setdefault(stroke.order, []).append(stroke)
    for strokes in by_path.values():
        if len(strokes) == 3 and sum(s.level for s in strokes) == 1 and not any(s.upright for s in strokes):
            xs, ys = ([p[n] for s in strokes for p in (s.a, s.b)] for n in (0, 1))
            yield min(xs), min(ys), max(xs), max(ys)


def _the_same_rows_are_marked_on_the_termination_sheets(example: Example) -> None:
    found: dict[str, set[str]] = {}
    for page in example.pages:
        if "Termination sheet" in page:
            found.setdefault(_code(page)[0], set()).update(re.findall(r"^(\w+) C \S+:", page, re.M))
    assert found == MARKED
