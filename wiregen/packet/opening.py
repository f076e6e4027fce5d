"""What opens or closes a contact, in words: off the conditions in its data sheet, and what follows from them at this door."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wiregen.reading.conditions import conditions
from wiregen.reading.model import Changeover, Condition, Contact, DataSheet, Input, Line, Takes
from wiregen.states.happenings import PRESSED
from wiregen.states.struck import Strike, Struck
from wiregen.wiring.fitting import At, Step
from wiregen.wiring.logic import IDLE, Case, Logic

# For each condition word: when it holds, when it does not.
_WHEN = {
    "mains": ("while mains is there", "when mains fails"),
    "grant": ("on a grant", "without a grant"),
    "call": ("when called open", "unless called open"),
    "pressed": ("when worked", "when let go"),  # a button, a key switch, a handle, a bar
    "motion": ("on motion", "without motion"),
    "vehicle": ("on a vehicle", "without a vehicle"),
    "shut": ("when the door is shut", "when the door is open"),
    "open": ("when open", "when shut"),
    "latched": ("when latched", "when unlatched"),
    "bonded": ("when bonded", "when the bond breaks"),
    "thrown": ("when thrown", "when drawn back"),
    "fire": ("on fire alarm", "without fire alarm"),
    "tampered": ("on tamper", "without tamper"),
    "alarm": ("on an alarm", "without an alarm"),
    "passed": ("when somebody has passed", "until somebody has passed"),
    "chosen": ("when chosen", "when not chosen"),
}

# What is tried on the door, to see what moves a contact by way of other devices; by hand, each thing that can be worked.
TRIED = {
    "motion": (Case("exit", motion=True), "on motion"),
    "fire": (Case("fire"), "on fire alarm"),
    "grant": (Case("grant"), "on a grant"),
    "call": (Case("call"), "when called open"),
    "controller": (Case("controller-dead"), "when the controller has no power"),
}


@dataclass(frozen=True)
class _Word:
    holds: str
    fails: str

    def turned(self) -> _Word:
        return _Word(self.fails, self.holds)


@dataclass(frozen=True)
class _Closed:
    """Closed when all of these hold, or when any does."""

    words: tuple[_Word, ...]
    all_of: bool


def opening(logic: Logic, key: str, group: Contact | Changeover, side: str | None) -> tuple[str, ...]:
    """Sentences without an end: "opens when worked", "then stays so for 30 s", "so also on motion", "idle: closed"."""
    device = logic.cast.device(key)
    step = Step(At(key, group.name), "break" if side == "break" else "make" if side else None)
    sense = ""
    if isinstance(group, Changeover) and group.sense:
        sense = device.set.get(group.sense) or logic.senses.get(step.at, "")
    told = _closed(device.sheet, key, group, side, sense.startswith("rests"))
    idle = logic.closed(IDLE, step)
    verb = "opens" if idle else "closes"
    phrases = [word.fails if idle else word.holds for word in told.words]
    said = [f"{verb} {phrase}" for phrase in phrases] if told.all_of == idle else [f"{verb} {_and(phrases)}"]
    direct = {word for condition in conditions(group) for word in condition.any_of}
    if device.sheet.is_ == "controller" and "powered" in direct:
        direct.add("controller")
    also = list(_worked(logic, step, idle)) if "pressed" not in direct else []
    also += [how for word, (case, how) in TRIED.items() if word not in direct and logic.closed(case, step) != idle]
    stays = [f"then stays so {group.stays if group.stays.startswith('until') else 'for ' + group.stays}"] if group.stays else []
    so = [f"so {', '.join(also)}"] if also else []
    return (*said, *stays, *so, f"idle: {'closed' if idle else 'open'}")


def _worked(logic: Logic, step: Step, idle: bool) -> Iterator[str]:
    """What moves a contact from elsewhere when it is worked by hand."""
    for ref in (*logic.cast.own, *logic.cast.shared()):
        groups = logic.cast.device(ref).sheet.groups.values()
        by_hand = any("pressed" in condition.any_of for group in groups for condition in conditions(group))
        if by_hand and Struck(logic, Strike(pressed=frozenset({ref}))).closed(PRESSED, step) != idle:
            yield f"when {ref} is worked"


def _closed(sheet: DataSheet, key: str, group: Contact | Changeover, side: str | None, turned: bool) -> _Closed:
    if isinstance(group, Contact):
        return _Closed(tuple(_words(sheet, key, group.closed_when)), True)
    power = [c for c in group.moves_when if c.any_of == ("powered",)]
    rest = tuple(_words(sheet, key, [c for c in group.moves_when if c not in power]))
    if turned and rest:
        both = _Word(" and ".join(w.holds for w in rest), " or ".join(w.fails for w in rest))
        rest = (both.turned(),)
    moved = (*rest, *_words(sheet, key, power))
    return _Closed(tuple(w.turned() for w in moved), False) if side == "break" else _Closed(moved, True)


def _words(sheet: DataSheet, key: str, given: Sequence[Condition]) -> Iterator[_Word]:
    for condition in given:
        each = [_word(sheet, key, word) for word in condition.any_of]
        word = _Word(" or ".join(w.holds for w in each), " and ".join(w.fails for w in each))
        yield word.turned() if condition.negated else word


def _word(sheet: DataSheet, key: str, word: str) -> _Word:
    group = sheet.groups.get(word)
    if isinstance(group, Takes):
        return _Word(f"while its {word} has power", f"when its {word} has no power")
    if isinstance(group, Input):
        return _Word(f"when its input {group.in_} is worked", f"when its input {group.in_} is not worked")
    if isinstance(group, Line):
        return _Word("on a command over its data line", "without a command over its data line")
    if word == "powered":
        return _Word(f"while {key} has power", f"when {key} has no power")
    return _Word(*_WHEN[word]) if word in _WHEN else _Word(f"on {word}", f"without {word}")


def _and(phrases: Sequence[str]) -> str:
    """"on a grant while A1 has power"."""
    return " and ".join(phrases).replace(" and while ", " while ")
