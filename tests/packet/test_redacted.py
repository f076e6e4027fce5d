"""A redacted set: specs that differ only in what is left out give the same bytes, and planted values stand nowhere in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.packet.mill import DOORS, SITE
from tests.packet.pages import texts
from tests.small_site import lay_out_site
from wiregen.build import Examined, examine
from wiregen.making import make
from wiregen.packet.marking import REDACTED

PROBE = """type: reader-probe
like: reader-osdp
name: Reader with a tone
settings: {address: 0..126, line-end: [in, out], tone: [soft, TONE], wait: 1..999 s}
"""


@dataclass(frozen=True)
class Secrets:
    """What an outsider must not have, each as long as in the others: places in the specs are told."""

    person: str
    number: str
    party: str
    said: str
    addresses: tuple[str, str, str]
    ports: tuple[str, str, str]
    patch: str
    wait: str
    tone: str

    @property
    def words(self) -> tuple[str, ...]:
        return (self.person, self.number, self.party, self.said, self.tone, f"{self.wait} s")


ONE = Secrets("T. Sedge", "77123", "R. Teasel", "CANARY-1", ("41", "42", "43"), ("13", "14", "15"), "17", "717", "chirp")
OTHER = Secrets("B. Quill", "88456", "M. Burdoc", "CANARY-2", ("97", "95", "99"), ("12", "16", "10"), "22", "935", "whirr")


def _written(at: Path, s: Secrets) -> Path:
    site = SITE.replace("T. Sedge", s.person).replace("77123", s.number).replace("R. Teasel", s.party)
    site += f"signed: {{drawn: {s.person}, approved: {s.party}}}\nrevisions: [{{rev: A, date: 2026-11-20, what: {s.said}}}]\n"
    doors = {}
    for n, name in ((0, "D1"), (2, "D3")):
        text = DOORS[name]
        text = text.replace(f"address: 4{n + 1}", f"address: {s.addresses[n]}, tone: {s.tone}, wait: {s.wait} s")
        text = text.replace("type: reader-osdp", "type: reader-probe").replace(f"N1.p-{n + 3}", f"N1.p-{s.ports[n]}")
        text = text.replace("PP1.p-7", f"PP1.p-{s.patch}").replace("at: inside,", f"at: inside, by: {s.party},")
        doors[name] = f"{text}notes: [{s.said}]\naccept: {{nothing-of-it: {{reason: {s.said}, by: {s.person}}}}}\n"
    made = lay_out_site(at / "mill", site, {**doors, "like": "# reader-osdp"})
    (made / "doors" / "like.yaml").unlink()
    (made / "devices" / "reader-probe.yaml").write_text(PROBE.replace("TONE", s.tone), "utf-8")
    return made


@dataclass(frozen=True)
class _Set:
    examined: Examined
    files: Mapping[str, bytes]


@pytest.fixture(scope="module")
def sets(tmp_path_factory: pytest.TempPathFactory) -> tuple[_Set, _Set]:
    def made(secrets: Secrets) -> _Set:
        examined = examine(_written(tmp_path_factory.mktemp("redacted"), secrets), redact=True)
        return _Set(examined, make(examined))

    return made(ONE), made(OTHER)


def _told(files: Mapping[str, bytes]) -> Iterator[tuple[str, str]]:
    """All text of all files: that of pages as printed, the rest as it lies there (nothing is compressed)."""
    for name, content in files.items():
        yield name, content.decode("utf-8", "replace")
        if name.endswith(".pdf"):
            yield name, "\n".join(texts(content))


def test_what_is_left_out_changes_no_byte(sets: tuple[_Set, _Set]) -> None:
    """So no reader of the set can tell one site from the other: addresses, ports, times, tones, people, parties, words."""
    one, other = sets
    assert one.files.keys() == other.files.keys()
    assert [name for name in one.files if one.files[name] != other.files[name]] == []


def test_planted_values_stand_nowhere(sets: tuple[_Set, _Set]) -> None:
    files = sets[0].files
    assert {name.rpartition(".")[2] for name in files} == {"pdf", "csv", "json", "svg", "xlsx"}
    for name, text in _told(files):
        assert not [word for word in ONE.words if word in text], name


def test_every_page_is_marked_and_tells_neither_settings_nor_what_frees_a_door(sets: tuple[_Set, _Set]) -> None:
    pages = texts(sets[0].files["packet.pdf"])
    assert all(REDACTED in page for page in pages)
    assert all(REDACTED.encode() in svg for name, svg in sets[0].files.items() if name.endswith(".svg"))
    printed = "\n".join(pages)
    for title in ("What the door does", "Fault guide", "Yearly retest", "Settings", "Responsibilities"):
        assert title not in printed
    assert {"labels.pdf", "tables/settings.csv", "tables/labels.csv"}.isdisjoint(sets[0].files)
    assert "moves on grant" not in printed
    for title in ("Wiring", "Termination", "One-line of the site", "Cable schedule", "Egress and fire release"):
        assert title in printed


def test_what_stops_a_door_stops_it_redacted_too(sets: tuple[_Set, _Set], tmp_path: Path) -> None:
    """And what is planted is read from the specs, else no test here could fail."""
    whole = examine(_written(tmp_path, ONE))
    known = repr((whole.site, whole.wirings))
    assert [word for word in ONE.words if word not in known] == []
    assert sorted((f.code, f.level, f.door or "") for f in sets[0].examined.findings) == sorted(
        (f.code, f.level, f.door or "") for f in whole.findings
    )
