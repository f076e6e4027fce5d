"""What was issued, kept with the specs: `issued/REV.json` in the site's folder, one for each revision of the site.

It is a record (schemas/record.json) with no more in it than comparing needs, sealed so that nobody takes what was edited since
for what was issued.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiregen.reading.model import Problem, Site, SpecError, Where

Json = dict[str, Any]
FOLDER = "issued"
SITE_KEYS = ("id", "name", "paper", "signed", "revisions", "sections", "contents", "stands", "devices", "wiring")
DOOR_KEYS = (
    "id", "name", "hash", "sections", "content", "stands", "revised", "kit", "want", "leave-by", "fire-rating", "revisions",
    "devices", "conductors", "cables", "splices", "links", "calmers", "line-ends", "unused", "readings", "findings",
)  # fmt: skip
ROW_KEYS: Mapping[str, tuple[str, ...]] = {
    "conductors": (
        "wire", "from", "to", "colour", "kind", "cable", "core", "size", "length_m", "assumed", "function", "place",
    ),
    "readings": ("between", "state", "nominal", "least", "most", "unit", "step"),
    "findings": ("code", "level", "message"),
}  # fmt: skip


@dataclass(frozen=True)
class Issue:
    """A revision of the site as it was issued: the letter, and the record that was kept."""

    rev: str
    record: Json


def issue_text(record: Json) -> str:
    """The file for a record of a whole packet, with pages: a door a line, so that what changed shows in version control."""
    site = {key: record["site"][key] for key in SITE_KEYS}
    site["wiring"] = site["wiring"] and _kept(site["wiring"])
    doors = [_kept(door) for door in record["doors"]]
    whole: Json = {"site": site, "doors": doors, "pages": record["pages"]}
    parts = [f'"site": {_line(site)}', *(f'"{key}": {_lines(whole[key])}' for key in ("doors", "pages"))]
    return "{" + ",\n".join([*parts, f'"seal": {_line(_seal(whole))}']) + "}\n"


def file_of(folder: Path, rev: str) -> Path | None:
    """Where that revision of the site in `folder` is kept; None where its letter makes no file name."""
    return folder / FOLDER / f"{rev}.json" if re.fullmatch(r"\w[\w.-]*", rev) else None


def issued(folder: Path, site: Site) -> Issue | None:
    """What was issued last, by the order of the site's revisions; None where nothing was.  Raises SpecError."""
    files = {path.stem: path for path in sorted((folder / FOLDER).glob("*.json"))}
    known = [r.rev for r in sorted(site.revisions, key=lambda r: r.date)]
    problems = [
        _problem(path, f"the site has no revision {rev}", "name it under revisions in site.yaml, or take the file away")
        for rev, path in files.items()
        if rev not in known
    ]
    if problems:
        raise SpecError(tuple(problems))
    last = next((rev for rev in reversed(known) if rev in files), None)
    return read_issue(files[last]) if last is not None else None


def read_issue(path: Path) -> Issue:
    """Raises SpecError where it is not as it was issued."""
    try:
        whole = json.loads(path.read_bytes())
        seal = whole.pop("seal")
        sound = seal == _seal(whole)
    except OSError as error:
        raise SpecError((_problem(path, f"the file cannot be read: {error.strerror}", ""),)) from error
    except (ValueError, KeyError, AttributeError, TypeError, RecursionError):
        sound = False
    if not sound:
        wrong = "the file is not as it was issued: its seal does not fit what it says"
        raise SpecError((_problem(path, wrong, "take it from version control, or issue that revision anew from its specs"),))
    return Issue(path.stem, whole)


def _problem(path: Path, wrong: str, instead: str) -> Problem:
    return Problem(Where(str(path), 1, 1), "", wrong, instead)


def _kept(door: Json) -> Json:
    kept = {key: door[key] for key in DOOR_KEYS if key in door}
    for key, columns in ROW_KEYS.items():
        if key in kept:
            kept[key] = [{column: row[column] for column in columns} for row in kept[key]]
    return kept


def _seal(whole: Json) -> str:
    text = json.dumps(whole, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _lines(values: list[Any]) -> str:
    return "[" + ",\n".join(map(_line, values)) + "]"


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
