"""What moves a contact, as its data sheet says."""

from __future__ import annotations

from wiregen.reading.model import Changeover, Condition, Contact, Group


def conditions(group: Group) -> tuple[Condition, ...]:
    """What closes a contact or moves a changeover; nothing for other groups."""
    if isinstance(group, Contact):
        return group.closed_when
    return group.moves_when if isinstance(group, Changeover) else ()


def mentions(group: Group, word: str) -> bool:
    return any(word in condition.any_of for condition in conditions(group))
