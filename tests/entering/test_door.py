"""One door from options: its spec passes, says what to fill in, and is never written over another."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.run import wiregen
from wiregen.reading.load import load_site


def test_a_door_is_written_with_what_to_fill_in_next(orchard: Path) -> None:
    given = ["--id", "D140", "--name", "Cider: hall", "--feed", "N2 FB4", "--closet", "house", "--fire-rating", "EI 30"]
    done = wiregen("new", "door", orchard, "--type", "mortise", *given)
    path = orchard / "doors" / "D140.yaml"
    assert (done.returncode, done.stderr) == (0, f"wrote {path}\nnext: wiregen check {orchard}\n")
    schema, *lines = path.read_text("utf-8").splitlines()
    assert schema.startswith("# yaml-language-server: $schema=")
    assert lines == [
        "# The kit mortise says the rest: what the lock shall do, which devices hang where. A key that is written",
        "# here goes before the kit's; `B1: none` among the devices takes B1 out. `wiregen check` says what is wrong.",
        "door: D140",
        'name: "Cider: hall"',
        "like: mortise",
        "# leave-by: handle   as in the kit",
        "# want: {idle: held, grant: free, controller-dead: held, power-dead: held, fire: held}   as in the kit",
        "fire-rating: EI 30",
        "runs:   # measure what is written `about`: until then it prints as ASSUMED",
        "  box: [house, about 20 m]",
        "  # frame: [box, about 4 m]   as in the kit",
        "  # leaf: [frame, about 1.2 m, T1]   as in the kit",
        "  # outside: [box, about 3 m]   as in the kit",
        "# notes: [printed on the door's sheets]",
        "# On what the site had free; another outlet of that kind does as well.",
        "devices:",
        "  A1: {from: N2.p-1}",
        "  Y1: {from: FB4.f-1}",
    ]


def test_the_next_id_and_a_fire_contact_where_the_branch_goes_on_in_a_fire(orchard: Path) -> None:
    first = wiregen("new", "door", orchard, "--type", "magnet", "--id", "O07", "--feed", "FB2")
    second = wiregen("new", "door", orchard, "--type", "magnet-call-point")
    assert first.returncode == second.returncode == 0
    site = load_site(orchard)
    assert list(site.doors) == ["O07", "O08"]
    chain = [str(r.target) for r in site.doors["O07"].devices["Y1"].relations if r.kind == "through"]
    assert chain == ["FA1.c-4", "S1.pole-1", "S2.chain", "A1.relay"]
    (input_,) = (r for r in site.doors["O08"].devices["G3"].relations if r.kind == "obeys")
    assert (input_.own, str(input_.target)) == ("fire", "FA1.c-5"), "the supply of its own has an input for it"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["--type", "magnt"], "--type: there is no kit magnt\n    did you mean magnet?"),
        (["--type", "strike", "--id", "a b"], "--id: door: 'a b' cannot be a file name"),
        (["--type", "strike", "--length", "long"], "--length: runs, box, 2: long is not a length"),
        (["--type", "strike", "--feed", "port"], "--feed: port is neither a shared device of the site nor a feed of the kit"),
    ],
)
def test_what_is_wrong_is_said_of_the_option(given: list[str], said: str, orchard: Path) -> None:
    done = wiregen("new", "door", orchard, *given)
    assert done.returncode == 2
    assert done.stderr.startswith(said)
    assert not (orchard / "doors").exists()


def test_a_file_in_its_place_stays(orchard: Path) -> None:
    (orchard / "doors").mkdir()
    there = orchard / "doors" / "D140.yaml"
    text = "door: X9\nname: Old\nlike: strike\nruns: {box: [house, 3 m]}\ndevices: {A1: {from: N1.p-1}}\n"
    there.write_text(text, encoding="utf-8")
    before = there.read_bytes()
    done = wiregen("new", "door", orchard, "--type", "strike", "--id", "D140")
    assert done.returncode == 2
    assert f"the door D140 is already there, in {there}" in done.stderr
    assert there.read_bytes() == before
