"""The output folder: files written whole or not at all, what the packet no longer has taken away, one build at a time.

Nothing in the folder changes before every new file lies complete and flushed beside its place, and the packet and the
manifest come last: a full disk, a crash or a kill leaves the packet that was there, or the new one.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

try:
    import fcntl
except ImportError:  # not on Windows: there nobody is kept out
    fcntl = None  # type: ignore[assignment]

RECORD, PACKET, MANIFEST = "record.json", "packet.pdf", "manifest.json"
LABELS, WORKBOOK = "labels.pdf", "tables.xlsx"
OURS = ("sheets", "tables", "doors", "volumes", "records")  # folders in which a file of an earlier manifest may be removed
_PART = ".wiregen-"


@dataclass(frozen=True)
class Product:
    """A file of the output folder: its path within that, SHA-256 of its content where that is known without making it."""

    name: str
    digest: str | None
    make: Callable[[], bytes]


def made(name: str, content: bytes) -> Product:
    """A file that is there already."""
    return Product(name, None, lambda: content)


def manifest(inputs: Mapping[str, str], products: Mapping[str, str], sources: Mapping[str, Iterable[str]]) -> bytes:
    """What a packet came from: the hash of each input, and of each product with the inputs that it came from.

    A product without `sources` came from all.
    """
    told = {
        name: {"sha256": digest, **({"from": sorted(sources[name])} if name in sources else {})}
        for name, digest in sorted(products.items())
    }
    whole = {"inputs": dict(sorted(inputs.items())), "products": told}
    return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()


def differing(folder: Path, wanted: Mapping[str, str]) -> list[str]:
    """In words, each file of the folder that is missing, is not what it should be by its hash, or should not be there.

    `wanted` is SHA-256 by path.  Only files of ours are looked at, by the folder's own manifest.
    """
    told = []
    for name, digest in sorted(wanted.items()):
        found = _digest_of(folder / name)
        if found is None:
            told.append(f"{name} is missing")
        elif found != digest:
            told.append(f"{name} is not what the specs give")
    return told + [f"{path.relative_to(folder).as_posix()} is of no door any more" for path in stale(folder, wanted)]


def stale(folder: Path, fresh: Iterable[str]) -> tuple[Path, ...]:
    """Files that the folder's manifest names as ours and that `fresh` does not.

    The manifest is read as data that anybody may have changed: only plain files in their places are named.
    """
    try:
        names = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["products"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ()
    gone = []
    for name in sorted({n for n in names if isinstance(n, str)} - set(fresh)) if isinstance(names, dict) else ():
        parts = PurePosixPath(name).parts
        path = folder.joinpath(*parts)
        ours = len(parts) == 2 and parts[0] in OURS and ".." not in parts and "\\" not in name
        if (ours or name in (PACKET, RECORD, LABELS, WORKBOOK)) and _plain(path, folder.joinpath(*parts[:-1])):
            gone.append(path)
    return tuple(gone)


def _plain(path: Path, within: Path) -> bool:
    return path.is_file() and not path.is_symlink() and path.resolve().parent == within.resolve()


@contextmanager
def alone(folder: Path, tell: Callable[[str], None]) -> Iterator[None]:
    """The folder for one build at a time; `tell` hears that another one is waited for.

    Makes the folder, and takes it away again where nothing was put into it.  Raises OSError.
    """
    made = _make_folder(folder)
    handle = os.open(folder, os.O_RDONLY) if fcntl else -1
    try:
        if fcntl:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                tell(f"another build is writing to {folder}: waiting for it")
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        if fcntl:
            os.close(handle)
        for empty in reversed(made):
            with suppress(OSError):
                empty.rmdir()


def write(folder: Path, files: Iterable[Product], whole: bool = False) -> dict[str, str]:
    """Puts files in place and gives SHA-256 of each by its path.  What is there already is not made.

    With `whole` they are all that the packet has, and what an earlier manifest names besides is taken away.  What is there
    already stays.  Raises OSError; then the files that were there are as before, unless the failure fell between two renames.
    """
    laid: list[tuple[Path, Path]] = []
    made: list[Path] = []
    digests: dict[str, str] = {}
    try:
        for file in files:
            place = folder / file.name
            found = _digest_of(place)
            content = None if found and found == file.digest else file.make()
            digests[file.name] = found or "" if content is None else hashlib.sha256(content).hexdigest()
            if content is None or digests[file.name] == found:
                os.utime(place)  # as new as what it came from, for make
                continue
            made += _make_folder(place.parent)
            handle, beside = tempfile.mkstemp(dir=place.parent, prefix=_PART, suffix=".part")
            laid.append((Path(beside), place))
            with os.fdopen(handle, "wb") as part:
                part.write(content)
                part.flush()
                os.fsync(part.fileno())
            os.chmod(beside, 0o666 & ~_umask())
        gone = stale(folder, digests) if whole else ()
        laid.sort(key=lambda pair: (pair[1].name == MANIFEST, pair[1].name == PACKET, pair[1]))
        while laid:
            beside_path, place = laid[0]
            if place.name == MANIFEST:  # only after it is nothing left that it does not name
                _remove(gone)
            os.replace(beside_path, place)
            laid.pop(0)
            made.clear()
    finally:
        for left, _ in laid:
            with suppress(OSError):
                left.unlink()
        for empty in reversed(made):
            with suppress(OSError):
                empty.rmdir()
    _remove(gone)
    _remove(path for of in ("", *OURS) for path in (folder / of).glob(f"{_PART}*.part"))  # of a build that was killed
    return digests


def _remove(paths: Iterable[Path]) -> None:
    for path in paths:
        path.unlink(missing_ok=True)


def _digest_of(place: Path) -> str | None:
    """SHA-256 of a plain file; None where there is none that can be read."""
    try:
        if place.is_symlink() or not place.is_file():
            return None
        with place.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def _make_folder(folder: Path) -> list[Path]:
    """Makes the folder and those above it; the ones that were not there, outermost first."""
    missing = [f for f in (folder, *folder.parents) if not f.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
