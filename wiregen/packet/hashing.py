"""The content hash: SHA-256 over values as canonical JSON, places in files left out."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from typing import Any

from wiregen.reading.model import Where


def plain(value: Any) -> Any:
    """Values as JSON has them: a dataclass becomes its class name and its fields, a mapping keeps its order, a set is sorted.

    What says where something stands in a file becomes null.
    """
    if isinstance(value, Where):
        return None
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, [plain(getattr(value, f.name)) for f in fields(value)]]
    if isinstance(value, Mapping):
        return [[plain(k), plain(v)] for k, v in value.items()]
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    if isinstance(value, Set):
        return sorted(plain(v) for v in value)
    if isinstance(value, Sequence):
        return [plain(v) for v in value]
    raise TypeError(f"no plain form for {type(value).__name__}")


def content_hash(*values: Any) -> str:
    """The hash in hexadecimal."""
    text = json.dumps(plain(values), ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()
