"""The content hash of a door: what its pages print, as canonical JSON, without page numbers and places in files."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

SHOWN = 12  # digits of the hash that are printed


def plain(value: Any) -> Any:
    """Values as JSON has them: a dataclass becomes its class name and its fields, a mapping keeps its order as pairs."""
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, [plain(getattr(value, f.name)) for f in fields(value)]]
    if isinstance(value, Mapping):
        return [[plain(k), plain(v)] for k, v in value.items()]
    if isinstance(value, str) or value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, Sequence):
        return [plain(v) for v in value]
    raise TypeError(f"no plain form for {type(value).__name__}")


def content_hash(*values: Any) -> str:
    """SHA-256 over the values, in hexadecimal."""
    text = json.dumps(plain(values), ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()
