"""Results on disk, each under the key of all that it came from, so that nothing is worked out twice.

They lie in the user's own cache folder, never in an output folder: what is read back is taken for a program's own values
(pickle), and an output folder may come from anybody.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import tempfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import suppress
from contextvars import ContextVar
from io import BytesIO
from pathlib import Path
from time import time
from typing import Any, TypeVar, cast

from platformdirs import user_cache_path

from wiregen.keeping.canon import Canon
from wiregen.reading.model import SHEETS, Device, Site, Where

CACHE = "WIREGEN_CACHE"  # names another folder than the user's own to keep in; set to nothing, nothing is kept
DAY = 24 * 3600  # seconds
MONTH = 30 * DAY
Value = TypeVar("Value")
_LEVEL = 1  # of compression: a quarter of the size for a tenth of the time


def own_store() -> Store | None:
    """Where what is worked out is kept, of any site; None where the user wants nothing kept."""
    named = os.environ.get(CACHE)
    return None if named == "" else Store(Path(named) if named else user_cache_path("wiregen"))


class Store:
    """Values by kind and key: a copy of a site has those of the other, wherever it lies.

    A folder that cannot be written keeps nothing; damaged files are not there.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def get(self, kind: str, key: str, seen: Site, canon: Canon) -> Any:
        """What was kept, with the places and data sheets of the site as it is seen now; None where nothing was."""
        packed = self.read(kind, key)
        try:
            return None if packed is None else unpacked(packed, tuple(canon.places), seen)
        except Exception:
            return None

    def put(self, kind: str, key: str, value: Any, seen: Site, canon: Canon) -> None:
        """Keeps a value that was worked out from `seen`: places, data sheets and devices from there by reference.

        Not one that names a place that is not there, as that would be another in a copy of the site.
        """
        places = dict(canon.places)
        packed = _packed(value, seen, places)
        if len(places) == len(canon.places):
            self.write(kind, key, packed)

    def get_alone(self, kind: str, key: str) -> Any:
        """What was kept that takes nothing from the site by reference."""
        packed = self.read(kind, key)
        try:
            return None if packed is None else pickle.loads(packed)
        except Exception:
            return None

    def put_alone(self, kind: str, key: str, value: Any) -> None:
        self.write(kind, key, pickle.dumps(value, protocol=5))

    def read(self, kind: str, key: str) -> bytes | None:
        """The bytes kept under a key, None where there are none that are whole."""
        path = self._folder / f"{key}.{kind}"
        try:
            raw = path.read_bytes()
            os.utime(path)
        except OSError:
            return None
        digest, packed = raw[:32], raw[32:]
        return zlib.decompress(packed) if hashlib.sha256(packed).digest() == digest else None

    def write(self, kind: str, key: str, value: bytes) -> None:
        """Keeps bytes under a key; silently not, where the folder does not take them."""
        packed = zlib.compress(value, _LEVEL)
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(dir=self._folder, prefix=".", suffix=".part")
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(hashlib.sha256(packed).digest() + packed)
                os.replace(beside, self._folder / f"{key}.{kind}")
            except OSError:
                Path(beside).unlink(missing_ok=True)

    def tidy(self) -> None:
        """Takes away what was neither kept nor read for a month; looks for it once a day."""
        now, looked = time(), self._folder / "looked"
        with suppress(OSError):
            if looked.exists() and now - looked.stat().st_mtime < DAY:
                return
            looked.touch()
            for path in list(self._folder.iterdir()):
                if path.is_file() and now - path.stat().st_mtime > MONTH:
                    path.unlink(missing_ok=True)


def once(store: Store | None, kind: str, key: str, make: Callable[[], Value]) -> Value:
    """What is kept under that key, taking nothing from the site by reference; else what `make` gives, which is kept then."""
    kept = store.get_alone(kind, key) if store else None
    if kept is not None:
        return cast("Value", kept)
    made = make()
    if store:
        store.put_alone(kind, key, made)
    return made


# ---- what a value takes from the site that it was worked out from ----------------------------------------------------------

def packed(value: Any, seen: Site) -> tuple[bytes, tuple[Where, ...]]:
    """A value that was worked out from `seen` as bytes, data sheets and devices from there by reference, and the places that
    it names by number."""
    places: dict[Where, int] = {}
    return _packed(value, seen, places), tuple(places)


def _packed(value: Any, seen: Site, places: dict[Where, int]) -> bytes:
    """`places` gets those that it has not yet."""
    out = BytesIO()
    _Pickler(out, seen, places).dump(value)
    return out.getvalue()


def unpacked(value: bytes, places: tuple[Where, ...], site: Site) -> Any:
    """What was packed, with these places, and the data sheets and devices of a site that has them."""
    token = _now.set((places, site))
    try:
        return pickle.loads(value)
    finally:
        _now.reset(token)


_now: ContextVar[tuple[tuple[Where, ...], Site]] = ContextVar("site and places that values are read back for")


def _place(number: int) -> Where:
    return _now.get()[0][number]


def _sheet(name: str) -> object:
    return _now.get()[1].sheets[name]


def _device(door: str, ref: str) -> Device:
    site = _now.get()[1]
    return (site.doors[door].devices if door else site.shared)[ref]


class _Pickler(pickle.Pickler):
    def __init__(self, file: BytesIO, seen: Site, places: dict[Where, int]) -> None:
        super().__init__(file, protocol=5)
        self._places = places
        self._sheets = {id(sheet): name for name, sheet in seen.sheets.items()}
        self._devices = {id(device): (door, device.ref) for door, device in _devices(seen)}

    def reducer_override(self, value: Any) -> Any:
        kind = type(value)
        if kind is Where:
            return _place, (self._places.setdefault(value, len(self._places)),)
        if kind in SHEETS and id(value) in self._sheets:
            return _sheet, (self._sheets[id(value)],)
        if kind is Device and id(value) in self._devices:
            return _device, self._devices[id(value)]
        return NotImplemented


def _devices(site: Site) -> Iterator[tuple[str, Device]]:
    yield from (("", device) for device in site.shared.values())
    yield from ((door, device) for door, spec in site.doors.items() for device in spec.devices.values())
