"""`wiregen check`: its results, exit statuses, streams and what it may load."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.run import broken, stopped, two_doors, wiregen
from tests.small_site import ROOT
from wiregen.cli import commands

pytestmark = pytest.mark.usefixtures("kept")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return two_doors(tmp_path_factory.mktemp("specs of two") / "mill")


def test_a_site_without_a_stop_ends_with_0_and_writes_nothing(site: Path, tmp_path: Path) -> None:
    before = sorted(site.parent.rglob("*"))
    done = wiregen("check", site, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert re.search(r"^2 doors: 0 stop, \d+ warn, \d+ note$", done.stdout, re.M)
    assert list(tmp_path.iterdir()) == []
    assert sorted(site.parent.rglob("*")) == before


def test_a_stop_ends_with_1_and_stands_at_its_line(tmp_path: Path) -> None:
    done = wiregen("check", stopped(tmp_path / "mill"))
    assert done.returncode == 1
    found = re.search(r"^(.*E1\.yaml):(\d+):(\d+): stop release-manual \(E1\)$", done.stdout, re.M)
    assert found
    line = Path(found[1]).read_text("utf-8").splitlines()[int(found[2]) - 1]
    assert line.endswith("# found here")


def test_unusable_input_ends_with_2_and_says_what_to_write(tmp_path: Path) -> None:
    done = wiregen("check", broken(tmp_path / "mill"))
    assert done.returncode == 2
    assert done.stdout == ""
    assert re.search(r"E1\.yaml:\d+:\d+: ", done.stderr)
    assert "contact-plain" in done.stderr  # the near miss
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check"], "SITE"),
        (["check", "no-such-folder"], "no-such-folder"),
        (["chek", "."], "chek"),
        (["check", "{site}", "--door", "E7"], "E1"),
        (["check", "{site}", "--jobs", "0"], "--jobs"),
        (["check", "{site}", "--format", "xml"], "xml"),
        (["check", "--explain", "fire-wire"], "fire-by-wire"),
        (["check", "--explain", "xyzzy"], "release-manual"),
        (["check", "--explain", "volts", "--format", "sarif"], "SARIF"),
        (["study", "{site}"], "--door"),
        (["study", "{site}", "--door", "E1", "--format", "sarif"], "SARIF"),
        (["packet", "{site}", "-o", "{site}/site.yaml"], "site.yaml"),
    ],
)
def test_an_unusable_command_line_ends_with_2(arguments: list[str], said: str, site: Path) -> None:
    done = wiregen(*(word.replace("{site}", str(site)) for word in arguments))
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_a_folder_without_site_yaml_is_unusable(tmp_path: Path) -> None:
    done = wiregen("check", tmp_path)
    assert done.returncode == 2
    assert "site.yaml" in done.stderr


def test_json_holds_every_finding(site: Path) -> None:
    done = wiregen("check", site, "--format", "json")
    data = json.loads(done.stdout)
    text = wiregen("check", site).stdout
    assert data["problems"] == []
    assert data["findings"]
    for finding in data["findings"]:
        assert f"{finding['file']}:{finding['line']}:{finding['column']}: {finding['level']} {finding['code']}" in text


def test_json_holds_every_problem(tmp_path: Path) -> None:
    done = wiregen("check", broken(tmp_path / "mill"), "--format", "json")
    assert done.returncode == 2
    (problem,) = json.loads(done.stdout)["problems"]
    assert Path(problem["file"]).name == "E1.yaml"
    assert problem["line"] > 1


def test_door_narrows_to_what_marks_it(site: Path) -> None:
    every = json.loads(wiregen("check", site, "--format", "json").stdout)["findings"]
    one = json.loads(wiregen("check", site, "--format", "json", "--door", "E1").stdout)["findings"]
    assert one == [finding for finding in every if "E1" in finding["doors"]]
    assert 0 < len(one) < len(every)


def test_progress_goes_to_standard_error_and_quiet_silences_it(site: Path) -> None:
    told, silent = wiregen("check", site), wiregen("check", site, "--quiet")
    assert "wiring: 2" in told.stderr  # two doors
    assert silent.stderr == ""
    assert told.stdout == silent.stdout


def test_results_do_not_depend_on_the_number_of_processes(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WIREGEN_CACHE", "")
    assert wiregen("check", site, "--jobs", "2").stdout == wiregen("check", site).stdout


@pytest.mark.parametrize("command", ["check", "packet", "study"])
def test_each_command_has_help_with_an_example_that_parses(command: str) -> None:
    done = wiregen(command, "--help")
    assert done.returncode == 0
    first, *others = re.findall(rf"^ +wiregen ({command} .*)$", done.stdout, re.M)
    assert (ROOT / first.split()[1]).is_dir()
    for example in others:
        commands.commands[command].make_context(command, example.split()[1:])


def test_check_and_version_load_no_drawing_library(site: Path) -> None:
    heavy = {"schemdraw", "matplotlib", "reportlab"}
    for arguments in (("--version",), ("check", site)):
        done = wiregen(*arguments, python=("-X", "importtime"), env={"WIREGEN_CACHE": ""})
        assert done.returncode == 0
        loaded = {line.rsplit("|", 1)[1].strip().split(".")[0] for line in done.stderr.splitlines() if "|" in line}
        assert "click" in loaded
        assert not loaded & heavy


def test_a_reader_that_goes_away_gets_no_traceback(site: Path) -> None:
    command = f"{sys.executable} -m wiregen check '{site}' --format json | true"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, cwd=ROOT, check=False)
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


def test_results_on_a_full_disk_end_with_3() -> None:
    site = ROOT / "door_specs" / "annex"
    command = [sys.executable, "-m", "wiregen", "check", str(site), "--quiet"]
    with open("/dev/full", "w") as full:
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, cwd=ROOT, check=False)
    assert done.returncode == 3
    assert done.stderr.count("\n") == 1
    assert "No space left" in done.stderr


def test_a_person_who_watches_gets_a_bar(site: Path) -> None:
    """Standard error is a terminal here; standard output is not, and holds the results alone."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "wiregen", "check", str(site)]
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=theirs, text=True, cwd=ROOT, check=False)
    os.close(theirs)
    shown = os.read(ours, 65536).decode()
    os.close(ours)
    assert done.returncode == 0
    assert "wiring" in shown
    assert "100%" in shown
    assert done.stdout == wiregen("check", site).stdout


def test_what_a_spec_says_cannot_steer_a_terminal(tmp_path: Path) -> None:
    folder = tmp_path / "mill"
    door = 'door: E1\nname: "\\e[2J\\e]0;gone\\a"\nleave-by: handle\n'
    folder.joinpath("doors").mkdir(parents=True)
    folder.joinpath("doors", "E1.yaml").write_text(door)
    folder.joinpath("site.yaml").write_text("site: Mill\n")
    done = wiregen("check", folder)
    assert done.returncode == 2
    assert "\x1b" not in done.stderr + done.stdout
    assert "\a" not in done.stderr + done.stdout
