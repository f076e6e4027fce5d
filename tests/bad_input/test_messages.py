"""Each bad input gives the message promised for it, exit status 2, no traceback, and leaves the output folder alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.bad_input.cases import CASES, Case, spoil
from wiregen.cli import main
from wiregen.reading.load import load_site

ROOT = Path(__file__).parents[2]
GOOD = Path(__file__).with_name("good")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with data sheets, and an output folder that holds a packet of before."""
    folder = tmp_path_factory.mktemp("bad input")
    shutil.copytree(ROOT / "door_specs" / "devices", folder / "devices")
    (folder / "out" / "doors").mkdir(parents=True)
    (folder / "out" / "packet.pdf").write_bytes(b"the packet of before")
    (folder / "out" / "record.json").write_bytes(b"{}")
    (folder / "out" / "doors" / "D1.pdf").write_bytes(b"a door of before")
    return folder


@pytest.fixture
def site(bench: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(bench)
    shutil.rmtree("site", ignore_errors=True)
    return Path(shutil.copytree(GOOD, "site"))


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_the_site_that_is_spoilt_is_good(site: Path) -> None:
    assert sorted(load_site(site).doors) == ["D1", "D2", "D3"]


def test_there_are_forty_and_no_name_twice() -> None:
    names = [case.name for case in CASES]
    assert len(names) >= 40
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_message(case: Case, site: Path, bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = contents(bench / "out")
    spoil(site, case)
    with pytest.raises(SystemExit) as end:
        main(["packet", "--quiet", "-o", "out", "site"])
    streams = capsys.readouterr()
    *said, last = streams.err.rstrip("\n").split("\n")
    assert said == case.promised
    assert last.endswith("nothing was written")
    assert end.value.code == 2
    assert streams.out == ""
    assert contents(bench / "out") == before


def test_all_problems_of_all_files_come_together(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Faults of every stage of reading, in several files, in one run and in order of place."""
    wanted = ["unknown key", "no switch port", "no kit", "band backwards", "no joint door"]
    chosen = [case for case in CASES if case.name in wanted]
    for case in chosen:
        spoil(site, case)
    with pytest.raises(SystemExit):
        main(["check", "--quiet", "site"])
    *said, _ = capsys.readouterr().err.rstrip("\n").split("\n")
    promised = [line for case in chosen for line in case.promised if not line.startswith(" ")]
    assert set(promised) <= set(said)
    places = [line for line in said if not line.startswith(" ")]
    assert places == sorted(places, key=lambda line: (line.split(":")[0], int(line.split(":")[1]), int(line.split(":")[2])))
