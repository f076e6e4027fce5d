"""Laying one table over another: kits under doors, feeds over them, a sheet over the one that it is like.

Tables merge key by key, anything else replaces, and the word `none` takes an entry out.
"""

from __future__ import annotations

from typing import Any

from wiregen.reading.document import Table, Text

REPLACED = frozenset({"from", "through", "tells", "speaks", "obeys", "earths"})  # relations are replaced whole
NONE_IS_A_VALUE = frozenset({"leave-by", "fitted", "poe", "pulled-off", "wants", "never", "calm"})


def lay_over(base: Table, over: Table) -> Table:
    """`over` laid over `base`; keys keep the place of whoever said them last, entries the order of the base."""
    made: dict[str, tuple[Text, Any]] = {key: (key, value) for key, value in base.items()}
    for key, value in over.items():
        if is_none(value) and key not in NONE_IS_A_VALUE:
            made.pop(key, None)
            continue
        old = made.get(key)
        if old is not None and isinstance(old[1], Table) and isinstance(value, Table) and key not in REPLACED:
            value = lay_over(old[1], value)
        made[key] = (key, value)
    return Table.at(over.mark, made.values())


def without_none(entries: Table) -> Table:
    """The table with every entry that says `none` taken out, inner tables too."""
    kept = (
        (key, without_none(value) if isinstance(value, Table) else value)
        for key, value in entries.items()
        if not is_none(value) or key in NONE_IS_A_VALUE
    )
    return Table.at(entries.mark, kept)


def is_none(value: Any) -> bool:
    return isinstance(value, Text) and value == "none"
