"""Data sheets: all that are shipped are sound, and each is read only when something asks for it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from wiregen.reading.library import Library
from wiregen.reading.model import DataSheet, Problem

SHIPPED = Path(__file__).parents[2] / "door_specs" / "devices"


def test_every_shipped_sheet_is_sound(tmp_path: Path) -> None:
    problems: list[Problem] = []
    library = Library.within(SHIPPED, tmp_path, problems.append)
    assert list(map(str, problems)) == []
    assert len(library.used) == len(list(SHIPPED.glob("*.yaml")))


def test_a_file_is_called_by_its_type() -> None:
    paths = sorted(SHIPPED.glob("*.yaml"))
    assert paths
    assert [path.name for path in paths if f"type: {path.stem}\n" not in path.read_text("utf-8")] == []


def test_what_nothing_uses_is_not_looked_at(tmp_path: Path) -> None:
    shared, own = tmp_path / "shared", tmp_path / "own"
    shared.mkdir()
    own.mkdir()
    shutil.copy(SHIPPED / "motion.yaml", shared)
    (shared / "broken.yaml").write_text("type: broken\nis: [\n", encoding="utf-8")
    problems: list[Problem] = []
    library = Library.within(own, shared, problems.append)
    assert isinstance(library.get("motion"), DataSheet)
    assert problems == []
    assert "broken" in library
    assert library.get("broken") is None
    assert library.get("broken") is None
    assert len(problems) == 1
    assert problems[0].where.file.endswith("broken.yaml")


def test_a_file_without_a_type_is_told(tmp_path: Path) -> None:
    (tmp_path / "odd.yaml").write_text("{is: lock}\n", encoding="utf-8")
    (tmp_path / "flow.yaml").write_text('{"type": flow, is: line-end, series: 1 kohm, across: 1 kohm}\n', encoding="utf-8")
    problems: list[Problem] = []
    library = Library.within(tmp_path, tmp_path / "none", problems.append)
    assert [problem.wrong for problem in problems] == ["type is missing: the file is no data sheet"]
    assert list(library.used) == ["flow"]


def test_like_goes_round_in_no_circle(tmp_path: Path) -> None:
    for name, other in (("a", "b"), ("b", "c"), ("c", "a")):
        (tmp_path / f"{name}.yaml").write_text(f"type: {name}\nlike: {other}\n", encoding="utf-8")
    problems: list[Problem] = []
    library = Library.within(tmp_path, tmp_path / "none", problems.append)
    assert library.used == {}
    assert any("each like the other" in problem.wrong for problem in problems)


@pytest.mark.parametrize("like", [path.stem for path in sorted(SHIPPED.glob("*.yaml")) if b"\nlike: " in path.read_bytes()][:1])
def test_the_same_sheet_in_another_folder_stands_there(like: str, tmp_path: Path) -> None:
    """What is kept of a sheet by its bytes says where each site has it, its own groups and those of the sheet under it."""
    for folder in ("one", "other"):
        (tmp_path / folder).mkdir()
        for path in SHIPPED.glob("*.yaml"):
            shutil.copy(path, tmp_path / folder)
        library = Library.within(tmp_path / "none", tmp_path / folder, pytest.fail)
        made = library.get(like)
        assert isinstance(made, DataSheet)
        places = [made.where, *(group.where for group in made.groups.values())]
        assert len({where.file for where in places}) == 2
        assert {Path(where.file).parent for where in places} == {tmp_path / folder}


def test_a_sheet_that_is_changed_or_lies_over_a_changed_one_is_read_anew(tmp_path: Path) -> None:
    """And a wrong one is told of each time."""
    over, under = tmp_path / "over.yaml", tmp_path / "under.yaml"
    over.write_text("type: over\nlike: under\nname: above\n", encoding="utf-8")
    for across in ("1 kohm", "2 kohm"):
        under.write_text(f"type: under\nis: line-end\nseries: 1 kohm\nacross: {across}\n", encoding="utf-8")
        library = Library.within(tmp_path, tmp_path / "none", lambda problem: None)
        assert across in repr(library.get("over")), library.get("over")
    over.write_text("type: over\nlike: under\nnone-such: 1\n", encoding="utf-8")
    for _ in range(2):
        problems: list[Problem] = []
        assert Library.within(tmp_path, tmp_path / "none", problems.append).get("over") is None
        assert [problem.where.file for problem in problems] == [str(over)]
