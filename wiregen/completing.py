"""What a shell offers while a command is typed: doors and kits of the site that was named, and the rules of the review."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from click import Context, Parameter
from click.shell_completion import CompletionItem

Offered = list[CompletionItem]


def doors(context: Context, parameter: Parameter, begun: str) -> Offered:
    """Ids with names, from the spec files alone: a site that cannot be used has doors too."""
    return _begun(begun, _doors(_site(context)))


def kits(context: Context, parameter: Parameter, begun: str) -> Offered:
    from wiregen.reading.load import load_kits

    found = load_kits(_site(context))
    return _begun(begun, ((name, str(kit.get("name", ""))) for name, kit in found.items()))


def rules(context: Context, parameter: Parameter, begun: str) -> Offered:
    from wiregen.review.review import RULES

    return _begun(begun, ((code, rule.words) for code, rule in RULES.items()))


def _site(context: Context) -> Path:
    """The folder that was named; where an option still waits for its value, it stands among what is not parsed yet."""
    named = (context.params.get("folder"), *map(Path, context.args), Path())
    return next((folder for folder in named if folder and (folder / "site.yaml").is_file()), Path())


def _doors(folder: Path) -> Iterator[tuple[str, str]]:
    from wiregen.reading.library import spec_files
    from wiregen.reading.parsing import parse

    for file in spec_files(folder / "doors", lambda _: None):
        written = parse(file.raw, file.name, lambda _: None)
        if written is not None and "door" in written:
            yield str(written["door"]), str(written.get("name", ""))


def _begun(begun: str, words: Iterable[tuple[str, str]]) -> Offered:
    return [CompletionItem(word, help=about) for word, about in sorted(words) if word.startswith(begun)]
