"""The output folder: rebuilt where it is not what the specs give, whole whenever a build is killed, one build at a time."""

from __future__ import annotations

import hashlib
import json
import os
import pickle
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from tests.cli.run import wiregen
from tests.keeping.sites import quick_site
from tests.small_site import ROOT
from wiregen.build import examine
from wiregen.making import make
from wiregen.output import differing, made, write


@pytest.fixture(scope="module", autouse=True)
def _kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WIREGEN_CACHE", str(tmp_path_factory.mktemp("kept")))
        yield


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("first")
    site, out = quick_site(folder / "weir", doors=1), folder / "out"
    assert wiregen("packet", site, "-o", out, "--quiet").returncode == 0
    return site, out


@pytest.fixture
def built(first: tuple[Path, Path], tmp_path: Path) -> tuple[Path, Path]:
    """A site and its packet, a fresh copy of it; the site itself is the same for all, so that what is kept of it serves all."""
    lengthen(first[0], 21)
    return first[0], shutil.copytree(first[1], tmp_path / "out")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def lengthen(site: Path, metres: int) -> None:
    door = site / "doors" / "E1.yaml"
    lines = door.read_text("utf-8").splitlines(keepends=True)
    wanted = f"runs: {{box: [closet-1, {metres} m], frame: [box, 3 m]}}\n"
    door.write_text("".join(wanted if line.startswith("runs:") else line for line in lines), encoding="utf-8")


def test_a_second_build_finds_nothing_to_do_and_verify_says_so(built: tuple[Path, Path]) -> None:
    site, out = built
    before, made = contents(out), (out / "packet.pdf").stat().st_mtime_ns
    again = wiregen("packet", site, "-o", out)
    assert again.returncode == 0
    assert "nothing has changed" in again.stderr
    assert "0 stop" in again.stdout or "no findings" in again.stdout or again.stdout == wiregen("check", site).stdout
    assert contents(out) == before
    assert (out / "packet.pdf").stat().st_mtime_ns > made  # as new as what it came from, for make
    told = wiregen("packet", site, "-o", out, "--verify")
    assert (told.returncode, told.stdout) == (0, f"{out / 'packet.pdf'} is what the specs give\n")


def test_all_that_was_kept_makes_the_same_packet_in_a_process_and_a_folder_of_its_own(built: tuple[Path, Path]) -> None:
    site, out = built
    other = out.with_name("other")
    told = wiregen("packet", site, "-o", other, "--quiet", env={})
    assert (told.returncode, told.stderr) == (0, "")
    assert contents(other) == contents(out)


def test_verify_lists_what_differs_and_writes_nothing(built: tuple[Path, Path]) -> None:
    site, out = built
    lengthen(site, 33)
    before = contents(out)
    told = wiregen("packet", site, "-o", out, "--verify")
    assert told.returncode == 1
    assert "packet.pdf is not what the specs give" in told.stdout.splitlines()
    assert "tables/cables.csv is not what the specs give" in told.stdout.splitlines()
    assert contents(out) == before
    data = json.loads(wiregen("packet", site, "-o", out, "--verify", "--format", "json").stdout)
    assert data == {"site": "weir", "differs": told.stdout.splitlines()}


@pytest.mark.parametrize("how", ["damaged", "missing", "older", "foreign", "link"])
def test_a_folder_that_is_not_what_it_says_is_noticed_and_made_anew(how: str, built: tuple[Path, Path], tmp_path: Path) -> None:
    site, out = built
    whole, packet, manifest = contents(out), out / "packet.pdf", out / "manifest.json"
    if how == "damaged":
        packet.write_bytes(whole["packet.pdf"][:-100])
    elif how == "missing":
        (out / "sheets" / "E1.svg").unlink()
    elif how == "older":
        manifest.unlink()
    elif how == "foreign":  # whose manifest says that all is well
        packet.write_bytes(b"%PDF of somebody else")
        told = json.loads(manifest.read_bytes())
        told["products"]["packet.pdf"]["sha256"] = hashlib.sha256(packet.read_bytes()).hexdigest()
        manifest.write_text(json.dumps(told))
    else:
        aside = tmp_path / "aside.pdf"
        aside.write_bytes(b"%PDF of somebody else")
        packet.unlink()
        packet.symlink_to(aside)
    assert wiregen("packet", site, "-o", out, "--verify").returncode == 1
    assert wiregen("packet", site, "-o", out, "--quiet").returncode == 0
    assert contents(out) == whole
    assert not packet.is_symlink()


def test_the_manifest_names_what_each_sheet_came_from(built: tuple[Path, Path]) -> None:
    site, out = built
    told = json.loads((out / "manifest.json").read_bytes())
    door = site / "doors" / "E1.yaml"
    assert told["inputs"]["weir/doors/E1.yaml"] == hashlib.sha256(door.read_bytes()).hexdigest()
    assert {"weir/doors/E1.yaml", "weir/site.yaml", "weir/devices/strike-12.yaml"} <= set(
        told["products"]["sheets/E1.svg"]["from"]
    )
    assert "weir/doors/E1.yaml" not in told["products"]["sheets/site.svg"]["from"]


def started(site: Path, out: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "wiregen", "packet", str(site), "-o", str(out)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=environment)


def test_a_second_build_waits_for_the_first(built: tuple[Path, Path]) -> None:
    fcntl = pytest.importorskip("fcntl")
    site, out = built
    lengthen(site, 34)
    handle = os.open(out, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_EX)
    with started(site, out) as second:
        assert second.stderr
        assert second.stderr.readline() == f"another build is writing to {out}: waiting for it\n"
        assert second.poll() is None
        os.close(handle)
        second.stderr.read()
        assert second.wait(60) == 0
    assert wiregen("packet", site, "-o", out, "--verify").returncode == 0


WRITER = """
import pickle, sys
from pathlib import Path
from wiregen.output import alone, made, write
files = pickle.loads(Path(sys.argv[1]).read_bytes())
print(flush=True)
with alone(Path(sys.argv[2]), print):
    write(Path(sys.argv[2]), [made(*file) for file in files.items()], whole=True)
"""


def test_a_build_killed_as_it_writes_leaves_the_old_packet_or_the_new(built: tuple[Path, Path], tmp_path: Path) -> None:
    """Each file whole, and as `--verify` finds it; the next build takes up what lies about."""
    site, out = built
    old = contents(out)
    lengthen(site, 90)
    new = make(examine(site))
    wanted = {name: hashlib.sha256(content).hexdigest() for name, content in new.items()}
    (tmp_path / "new").write_bytes(pickle.dumps(new))
    command = [sys.executable, "-c", WRITER, str(tmp_path / "new"), str(out)]
    lasts, random = 0.05, Random(10)
    for _ in range(10):
        write(out, [made(*file) for file in old.items()], whole=True)
        with subprocess.Popen(command, stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)}) as process:
            assert process.stdout
            process.stdout.readline()
            time.sleep(random.uniform(0, lasts))
            process.kill()
        now = {name: content for name, content in contents(out).items() if not name.endswith(".part")}
        assert all(content in (old.get(name), new.get(name)) for name, content in now.items())
        assert now.keys() <= old.keys() | new.keys()
        assert (differing(out, wanted) == []) == (now == new)
    write(out, [made(*file) for file in new.items()], whole=True)
    assert contents(out) == new


@pytest.mark.sweep
def test_a_build_killed_at_any_of_many_moments(built: tuple[Path, Path]) -> None:
    """Old or new, never half; and what `--verify` says is so."""
    site, out = built
    random = Random(200)
    lengthen(site, 200)
    begun = time.monotonic()
    with started(site, out) as process:
        process.communicate()
    lasts = time.monotonic() - begun
    for turn in range(200):
        old = contents(out)
        lengthen(site, 40 + turn % 50)
        with started(site, out) as process:
            time.sleep(random.uniform(0.3, 1.05) * lasts)
            process.send_signal(signal.SIGKILL)
            process.communicate()
        now = {name: content for name, content in contents(out).items() if not name.endswith(".part")}
        verdict = wiregen("packet", site, "-o", out, "--verify").returncode
        new = make(examine(site))
        assert all(content in (old.get(name), new.get(name)) for name, content in now.items())
        assert now["packet.pdf"] in (old["packet.pdf"], new["packet.pdf"])
        assert verdict == (0 if now == new else 1)
        assert wiregen("packet", site, "-o", out, "--quiet").returncode == 0
        assert contents(out) == new
