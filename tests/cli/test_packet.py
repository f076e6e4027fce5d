"""`wiregen packet`: what it writes, when it writes nothing, and that the same specs give the same bytes."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import signal
import stat
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

from tests.cli.run import broken, two_doors, wiregen
from tests.small_site import ROOT

pytestmark = pytest.mark.usefixtures("kept")

CLIMATES = (  # zone, locale, hash seed: none of them may show in a byte
    {"TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONHASHSEED": "1"},
    {"TZ": "America/St_Johns", "LC_ALL": "C.UTF-8", "LANG": "tr_TR.UTF-8", "PYTHONHASHSEED": "2"},
)


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return two_doors(tmp_path_factory.mktemp("specs of two") / "mill")


@pytest.fixture(scope="module")
def packet(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The packet in its default place."""
    here = tmp_path_factory.mktemp("work here")
    done = wiregen("packet", site, cwd=here, env=CLIMATES[0])
    assert done.returncode == 0, done.stderr
    return here / "output" / "mill"


def test_it_writes_packet_sheets_tables_and_record(packet: Path) -> None:
    files = contents(packet)
    record, manifest = json.loads(files["record.json"]), json.loads(files.pop("manifest.json"))
    assert {name: hashlib.sha256(content).hexdigest() for name, content in files.items()} == {
        name: told["sha256"] for name, told in manifest["products"].items()
    }
    assert {"packet.pdf", "record.json"} <= files.keys()
    drawn = {re.fullmatch(r"sheets/(\w+?)(?:\+\d+)?\.svg", name)[1] for name in files if name.startswith("sheets/")}
    assert drawn == {"E1", "E2", "site"}  # and what doors share
    assert any(name.startswith("tables/") and name.endswith(".csv") for name in files)
    assert files["packet.pdf"].startswith(b"%PDF")
    assert [door["id"] for door in record["doors"]] == ["E1", "E2"]


def test_its_files_may_be_read_by_whoever_reads_other_files(packet: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.write_text("")
    assert stat.S_IMODE((packet / "packet.pdf").stat().st_mode) == stat.S_IMODE(other.stat().st_mode)


def test_same_bytes_in_another_folder_zone_locale_and_process(site: Path, packet: Path, tmp_path: Path) -> None:
    """From inside the site's folder, too."""
    elsewhere = shutil.copytree(site, tmp_path / "an other" / "mill")
    done = wiregen("packet", ".", "-o", tmp_path / "out", "--jobs", "2", cwd=elsewhere, env=CLIMATES[1])
    assert done.returncode == 0, done.stderr
    assert contents(tmp_path / "out") == contents(packet)


def test_door_writes_its_pages_alone(site: Path, packet: Path, tmp_path: Path) -> None:
    out = shutil.copytree(packet, tmp_path / "out")
    before = contents(out)
    done = wiregen("packet", site, "-o", out, "--door", "E2")
    assert done.returncode == 0, done.stderr
    after = contents(out)
    assert after.pop("doors/E2.pdf").startswith(b"%PDF")
    assert after == before


def test_unusable_specs_change_nothing(packet: Path, tmp_path: Path) -> None:
    out = shutil.copytree(packet, tmp_path / "out")
    before = contents(out)
    done = wiregen("packet", broken(tmp_path / "mill"), "-o", out)
    assert done.returncode == 2
    assert contents(out) == before
    assert wiregen("packet", tmp_path / "mill", cwd=tmp_path).returncode == 2
    assert not (tmp_path / "output").exists()


def test_files_of_a_vanished_door_go_and_others_stay(site: Path, packet: Path, tmp_path: Path) -> None:
    out = shutil.copytree(packet, tmp_path / "out")
    (out / "sheets" / "mine.svg").write_text("not ours")
    manifest = json.loads((out / "manifest.json").read_bytes())
    (tmp_path / "precious.txt").write_text("not ours either")
    manifest["products"] |= dict.fromkeys(["../precious.txt", "sheets/../../precious.txt", "sheets", "7"])
    (out / "manifest.json").write_text(json.dumps(manifest))
    one = shutil.copytree(site, tmp_path / "mill")
    (one / "doors" / "E2.yaml").unlink()
    done = wiregen("packet", one, "-o", out)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "precious.txt").exists()
    left = {path.name for path in (out / "sheets").glob("*.svg")}
    assert "mine.svg" in left
    assert left - {"mine.svg"}
    assert not [name for name in left if name.startswith("E2")]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere; the next test covers what this one asks")
def test_a_folder_that_may_not_be_written_ends_with_3(site: Path, tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    done = wiregen("packet", site, "-o", tmp_path / "out")
    assert done.returncode == 3
    assert done.stderr.splitlines()[-1].startswith("wiregen: ")


def test_a_folder_that_cannot_be_made_ends_with_3_and_one_line(site: Path) -> None:
    done = wiregen("packet", site, "-o", "/proc/none/out", "--quiet")
    assert done.returncode == 3
    assert done.stderr.count("\n") == 1
    assert "/proc/none" in done.stderr


def test_a_failing_disk_leaves_what_was_there(packet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from wiregen.output import made, write

    out = shutil.copytree(packet, tmp_path / "out")
    before = contents(out)
    synced: list[int] = []

    def full(handle: int) -> None:
        synced.append(handle)
        if len(synced) == 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("wiregen.output.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        write(out, [made(name, b"half a packet") for name in (*before, "new/a.svg", "a/b.csv")])
    assert contents(out) == before
    assert not (out / "new").exists()
    assert not (out / "a").exists()


@pytest.mark.parametrize("jobs", ["1", pytest.param("2", marks=pytest.mark.sweep)])
def test_an_interruption_is_quiet_and_leaves_nothing(jobs: str, site: Path, tmp_path: Path) -> None:
    """Ctrl-C goes to the whole process group, as from a terminal; where the tests run behind one, nobody hears it."""
    command = [sys.executable, "-m", "wiregen", "packet", str(site), "-o", str(tmp_path / "out"), "--jobs", jobs]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", "WIREGEN_CACHE": ""}
    options = {"stderr": subprocess.PIPE, "stdout": subprocess.DEVNULL, "text": True, "env": environment}
    heard = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    with subprocess.Popen(command, start_new_session=True, preexec_fn=heard, **options) as process:
        for line in process.stderr:
            if line.startswith("drawing"):
                break
        os.killpg(process.pid, signal.SIGINT)
        rest = process.stderr.read()
        assert "Traceback" not in rest
        assert process.wait(timeout=60) == 3, rest
    assert rest.splitlines()[-1] == "stopped"
    assert not (tmp_path / "out").exists()
