"""Whatever bytes a stranger sends: a site, or problems with a place and words; nothing else is ever raised."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wiregen.reading.load import load_site
from wiregen.reading.model import Problem, SpecError
from wiregen.reading.parsing import parse

ROOT = Path(__file__).parents[2]
GOOD = ROOT / "tests" / "bad_input" / "good"
FILES = ["site.yaml", "doors/D1.yaml", "doors/D2.yaml", "doors/D3.yaml", "kits/store.yaml", "devices/try-lock.yaml"]
SOURCES = {name: (GOOD / name).read_bytes() for name in FILES}

# Pieces that mean something to YAML or to the language, so that mutations get past the first line.
PIECES = [
    *(
        b"{",
        b"}",
        b"[",
        b"]",
        b":",
        b": ",
        b", ",
        b"- ",
        b"\n",
        b"\n  ",
        b"#",
        b"'",
        b'"',
        b"|",
        b">",
        b"&a ",
        b"*a",
        b"!!str ",
    ),
    *(
        b"\t",
        b"\x00",
        b"\xff",
        b"---\n",
        b"..",
        b"1..8",
        b"0..99999999999",
        b"none",
        b"mains",
        b" or ",
        b"not ",
        b"A1.",
        b"A1:",
    ),
    *(
        b"D1/A1.relay",
        b"like: store\n",
        b"door: ../x\n",
        b"feed: local\n",
        b"-3 m",
        b"nan",
        b"1e999 V",
        b"\xe2\x80\xae",
        b"~",
        b"<<: ",
    ),
]

mutation = st.tuples(
    st.sampled_from(FILES), st.integers(0, 4000), st.integers(0, 12), st.sampled_from(PIECES) | st.binary(max_size=6)
)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fuzz")
    shutil.copytree(ROOT / "door_specs" / "devices", folder / "devices")
    return Path(shutil.copytree(GOOD, folder / "site"))


def told(site: Path) -> tuple[Problem, ...]:
    """The problems of the site; none if it can be read."""
    try:
        load_site(site)
    except SpecError as refusal:
        return refusal.problems
    return ()


def attempt(site: Path) -> None:
    for problem in told(site):
        assert problem.wrong
        assert problem.where.line >= 1
        assert problem.where.column >= 1
        assert Path(problem.where.file).is_relative_to(site.parent)
        assert "Traceback" not in str(problem)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(mutation, min_size=1, max_size=4))
def test_mutated_specs(site: Path, mutations: list[tuple[str, int, int, bytes]]) -> None:
    changed = dict(SOURCES)
    for name, at, length, piece in mutations:
        source = changed[name]
        at %= len(source) + 1
        changed[name] = source[:at] + piece + source[at + length :]
    for name, source in changed.items():
        (site / name).write_bytes(source)
    attempt(site)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(FILES), st.binary(max_size=200))
def test_random_bytes(site: Path, name: str, raw: bytes) -> None:
    for each, source in SOURCES.items():
        (site / each).write_bytes(source)
    (site / name).write_bytes(raw)
    attempt(site)


# Values of every shape under keys that the language knows, and keys that it does not: the schema's whole surface.
KEYS = [
    *(
        "door",
        "kit",
        "like",
        "name",
        "leave-by",
        "want",
        "order",
        "use",
        "at-once",
        "runs",
        "exposed",
        "feeds",
        "feed",
        "devices",
    ),
    *(
        "cables",
        "conductors",
        "accept",
        "notes",
        "revisions",
        "type",
        "at",
        "from",
        "through",
        "tells",
        "by",
        "mount",
        "set",
        "A1",
    ),
    *(
        "Y1..3",
        "box",
        "plus",
        "add",
        "drop",
        "none",
        "grant",
        "is",
        "terminals",
        "groups",
        "kind",
        "between",
        "inside",
        "coil",
        "x y",
    ),
]
WORDS = [
    "A1",
    "A1.relay",
    "A1:NO",
    "none",
    "mains",
    "held",
    "handle",
    "3 m",
    "1..3",
    "lock",
    "cable",
    "takes",
    "",
    "x, y",
    "D1/A1",
    "7",
]


def as_yaml(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}": {as_yaml(each)}' for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(as_yaml, value)) + "]"
    return f'"{value}"'


shapes = st.recursive(
    st.sampled_from(WORDS),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=6),
    max_leaves=25,
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(FILES), st.dictionaries(st.sampled_from(KEYS), shapes, max_size=8))
def test_any_shape(site: Path, name: str, shape: dict[str, object]) -> None:
    for each, source in SOURCES.items():
        (site / each).write_bytes(source)
    first = {"site.yaml": "site", "devices/try-lock.yaml": "type"}.get(name, "kit" if "kits" in name else "door")
    body = {first: "D1" if first == "door" else "try-lock" if first == "type" else "store", **shape}
    (site / name).write_text(as_yaml(body), encoding="utf-8")
    attempt(site)


@given(st.binary(max_size=300))
def test_parse_never_raises(raw: bytes) -> None:
    problems: list[Problem] = []
    assert parse(raw, "f.yaml", problems.append) is not None or problems
