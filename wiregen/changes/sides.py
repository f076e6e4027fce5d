"""The two sides of a comparison: a site's folder, one as a git revision has it, or a record that was kept.

Files and git are asked here alone; the rest of the package compares what they gave.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import Any

from wiregen.changes.compare import doors_of
from wiregen.changes.issue import ROW_KEYS
from wiregen.reading.folders import ABOVE
from wiregen.reading.formats import is_name
from wiregen.reading.shared import SITE

NEEDED = ("name", "hash", "devices", "conductors", "cables", "links", "readings")  # of a door of a record
PLAIN = ("100644", "100755")  # modes of git's tree: files, not links nor modules


class NotFound(Exception):
    """A side that cannot be had; the message says why, and what to write instead."""


@contextmanager
def site_folder(side: str) -> Iterator[Path]:
    """The site's folder; of REV:PATH, written as for `git show`, a temporary copy that lasts as long as the context.

    With the copy come the data sheets and kits of the folders above it that sites share.  Raises NotFound.
    """
    if Path(side).is_dir():
        yield Path(side)
        return
    revision, colon, path = side.partition(":")
    if not colon or not revision:
        raise NotFound(f"{side}: no such folder; a git revision of one is written REV:PATH, such as HEAD~1:door_specs/site")
    top = Path(_git("rev-parse", "--show-toplevel").decode().rstrip("\n"))
    within = _within(path)
    with tempfile.TemporaryDirectory(prefix="wiregen-") as made:
        root = Path(made).joinpath(*("above",) * ABOVE, top.name)  # so that nothing beside it is taken for its data sheets
        root.mkdir(parents=True)
        above = list(within.parents)[:ABOVE]
        written = _copy(revision, [within, *(folder / name for folder in above for name in ("devices", "kits"))], root)
        if not any(PurePosixPath(name).is_relative_to(within) for name in written):
            raise NotFound(f"{side}: {revision} has no folder {within} (PATH counts from the top of the repository)")
        yield root / within


def kept_record(side: str) -> Any | None:
    """The record in that file, or in the output folder of that name; None where the side is something else.

    Of a site in volumes with its doors, whose records lie in `records/` beside it.
    """
    path = Path(side)
    file = path / "record.json" if path.is_dir() and not (path / "site.yaml").exists() else path
    if not file.is_file():
        return None
    record = _json(file)
    try:
        apart = {} if record["doors"] else dict.fromkeys(section["of"] for section in record.get("pages", ()))
        record["doors"] += [_json(file.parent / "records" / f"{door}.json") for door in apart if is_name(door) and door != SITE]
        missing = next((key for key in _compared(record)), "")
    except (KeyError, TypeError, AttributeError):
        missing = "site, doors"
    if missing:
        wrong = f"is no record of a site that can be compared: it lacks {missing}"
        raise NotFound(f"{file}: {wrong}; give a record.json, a site's folder or REV:PATH")
    return record


def _json(file: Path) -> Any:
    try:
        return json.loads(file.read_bytes())
    except OSError as error:
        wrong = f"{file}: cannot be read: {error.strerror}"
        raise NotFound(f"{wrong}; a record of a site in volumes is compared with the records of its doors beside it") from error
    except (ValueError, RecursionError) as error:
        raise NotFound(f"{file}: is no JSON: {error}") from error


def _compared(record: Any) -> Iterator[str]:
    """What comparing needs and a record lacks."""
    for of, door in doors_of(record).items():
        yield from (f"{key} of {of}" for key in NEEDED if key not in door)
        for key, columns in ROW_KEYS.items():
            yield from (f"{c} in {key} of {of}" for row in door.get(key, ()) for c in columns if c not in row)
    yield from (key for key in ("id", "name", "paper", "signed", "revisions") if key not in record["site"])


def _within(path: str) -> PurePosixPath:
    """From the top of the repository; `./` begins one that counts from here."""
    here = _git("rev-parse", "--show-prefix").decode().rstrip("\n") if path.startswith(("./", "../")) or path == "." else ""
    parts: list[str] = []
    for part in PurePosixPath(here, path).parts:
        if part == ".." and parts:
            parts.pop()
        elif part not in (".", "/"):
            parts.append(part)
    return PurePosixPath(*parts)


def _copy(revision: str, paths: Sequence[PurePosixPath], to: Path) -> list[str]:
    """Writes the files under these paths as that revision has them; their names from the top of the repository."""
    name = f"{revision}^{{commit}}"
    commit = _git("rev-parse", "--verify", "--quiet", "--end-of-options", name, missing=f"{revision}: no such git revision")
    listed = _git("ls-tree", "-r", "-z", "--full-tree", commit.decode().strip(), "--", *(str(path) for path in paths))
    blobs: dict[str, str] = {}
    for entry in filter(None, listed.decode("utf-8", "surrogateescape").split("\0")):
        about, file = entry.split("\t", 1)
        mode, _, blob = about.split()
        if mode in PLAIN and file.endswith((".yaml", ".yml", ".json")):
            blobs[file] = blob
    for file, content in zip(blobs, _contents(list(blobs.values())), strict=True):
        (to / file).parent.mkdir(parents=True, exist_ok=True)
        (to / file).write_bytes(content)
    return list(blobs)


def _contents(blobs: Sequence[str]) -> Iterator[bytes]:
    """What git keeps under these ids: each comes after a line with its id, type and size."""
    out, at = _git("cat-file", "--batch", given="\n".join(blobs).encode()), 0
    for _ in blobs:
        end = out.index(b"\n", at)
        size = int(out[at:end].split()[2])
        yield out[end + 1 : end + 1 + size]
        at = end + 1 + size + 1


def _git(*arguments: str, missing: str = "", given: bytes = b"") -> bytes:
    """What git answers.  Raises NotFound, with `missing` where that says it better than git."""
    try:
        done = subprocess.run(["git", *arguments], capture_output=True, check=False, input=given)
    except FileNotFoundError as error:
        raise NotFound("git is not installed: give two folders instead") from error
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().removeprefix("fatal: ")
        raise NotFound(missing or f"git {arguments[0]}: {said}")
    return done.stdout
