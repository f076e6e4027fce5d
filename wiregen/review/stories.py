"""The story of each rule: what goes wrong at real doors, how it is found and cured, what the packet prints (stories.yaml)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import yaml

from wiregen.reading.parsing import Loader


@dataclass(frozen=True, kw_only=True)
class Story:
    """One paragraph each; `example` is YAML of a spec, a site or a data sheet."""

    symptom: str
    cause: str
    found: str
    cure: str
    example: str
    prints: str
    approval: str = ""  # what more is to say of approving it than whether that is possible


@cache
def stories() -> Mapping[str, Story]:
    """By the code of the rule."""
    return {code: Story(**{key: text.strip() for key, text in told.items()}) for code, told in packaged("stories").items()}


def packaged(name: str) -> Any:
    """What a YAML file beside the rules holds."""
    return yaml.load(files("wiregen.review").joinpath(f"{name}.yaml").read_text("utf-8"), Loader=Loader)
