"""What somebody at a door says: readings of a meter and what shows without one, as short texts.

    reading   [STATE:] TERMINAL TERMINAL = VOLTS          "Y1.+ Y1.- = 3.1 V", "grant: X1:s3 A1:0V = -40 mV"
    sign      [STATE:] THING [is] [not] WORD [on STATE]   "lock stays held on grant", "U1 is dark", "grant: A1.exit not active"

STATE is a state of the door ("exit-sensor", or "exit sensor"); idle where none is written.  A terminal is a designation and a
mark, with a point or a colon between; the first takes the red lead.  A lock is `held` or `free` (`lock` stands for the only
one), a device `dark` or `lit`, an input `active` or `inactive`; `not` turns each round.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wiregen.faults.readings import Moment
from wiregen.faults.seen import Seen, Sign
from wiregen.reading.quantity import NUMBER
from wiregen.wiring.model import End

READING = re.compile(r"(?:(?P<state>[^=]*?[^=\s])\s*:\s+)?(?P<a>\S+)\s+(?:and\s+)?(?P<b>\S+)\s*=\s*(?P<volts>.*)")
SIGN = re.compile(
    r"(?:(?P<state>.*?\S)\s*:\s+)?(?P<what>\S+)(?:\s+(?:is|are|stays|stay|reads|remains))?(?P<not>\s+not)?"
    r"\s+(?P<word>\S+?)(?:\s+(?:on|in|at|with|when|while|during)\s+(?P<on>.+))?"
)
VOLTS = re.compile(rf"(?P<number>{NUMBER})\s*(?P<unit>mV|V)")
FACTOR = {"V": 1.0, "mV": 1e-3}
WORDS = {  # word → what it says, and whether it says that it is so
    "free": ("free", True), "held": ("free", False), "dark": ("dark", True), "lit": ("dark", False),
    "active": ("active", True), "inactive": ("active", False),
}  # fmt: skip
THE_LOCK = "lock"
IDLE = "idle"


class NotUnderstood(Exception):
    """What was said cannot be taken: one message for each text."""

    def __init__(self, messages: Sequence[str]) -> None:
        super().__init__("; ".join(messages))
        self.messages = tuple(messages)


@dataclass(frozen=True)
class Reading:
    """`moment` is its number."""

    moment: int
    a: End
    b: End
    volts: float


@dataclass(frozen=True)
class Saw:
    sign: Sign
    is_so: bool


class Listener:
    """Understands what is said of one door."""

    def __init__(self, door: str, moments: Sequence[Moment], ends: Iterable[End], seen: Seen) -> None:
        self.door, self.moments, self.seen = door, moments, seen
        self.ends = {_plain(end): end for end in sorted(ends)}

    def understand(self, texts: Sequence[str]) -> tuple[tuple[Reading, ...], tuple[Saw, ...]]:
        """Raises NotUnderstood with a message for each text that cannot be taken."""
        found: list[Reading | Saw] = []
        wrong: list[str] = []
        for text in texts:
            try:
                one = self._reading(text) if "=" in text else self._sign(text)
                if isinstance(one, Saw) and replace(one, is_so=not one.is_so) in found:
                    raise _Wrong("it contradicts what was said before")
                found.append(one)
            except _Wrong as error:
                wrong.append(f'"{text}": {error}')
        if wrong:
            raise NotUnderstood(wrong)
        return tuple(r for r in found if isinstance(r, Reading)), tuple(s for s in found if isinstance(s, Saw))

    def _reading(self, text: str) -> Reading:
        said = READING.fullmatch(text.strip())
        if said is None:
            raise _Wrong('write a reading as "[STATE:] TERMINAL TERMINAL = VOLTS", such as "grant: Y1.+ Y1.- = 11.8 V"')
        moment, a, b = self._moment(said["state"] or IDLE), self._end(said["a"]), self._end(said["b"])
        if a == b:
            raise _Wrong("both leads are on one terminal")
        volts = VOLTS.fullmatch(said["volts"].strip())
        if volts is None:
            number = re.fullmatch(rf"({NUMBER})", said["volts"].strip())
            comma = re.fullmatch(r"([-+]?\d+),(\d+)\s*(m?V)?", said["volts"].strip())
            plain = f"{number[1]} V or {number[1]} mV" if number else "volts, such as 3.1 V"
            hint = f"{comma[1]}.{comma[2]} {comma[3] or 'V'}" if comma else plain
            raise _Wrong(f"{said['volts'].strip() or 'nothing'} is no voltage: write {hint}")
        return Reading(moment, a, b, float(volts["number"].replace("−", "-")) * FACTOR[volts["unit"]])

    def _sign(self, text: str) -> Saw:
        said = SIGN.fullmatch(text.strip())
        if said is None:
            raise _Wrong('write what is seen as "THING is WORD on STATE", such as "lock stays held on grant"')
        if said["state"] and said["on"]:
            raise _Wrong("it names two states")
        if said["word"] not in WORDS:
            raise _Wrong(f"{said['word']} is not known: {_near(said['word'], WORDS, 'write ')}")
        what, is_ = WORDS[said["word"]]
        thing = self._thing(said["what"], what)
        state = self._state(said["state"] or said["on"] or IDLE)
        return Saw(Sign(thing, what, state), is_ != bool(said["not"]))

    def _thing(self, name: str, what: str) -> str:
        kinds = {"free": ("a lock", self.seen.locks), "dark": ("a device that takes power", self.seen.devices),
                 "active": ("an input", tuple(map(str, self.seen.inputs)))}  # fmt: skip
        kind, known = kinds[what]
        if what == "free" and name == THE_LOCK:
            if len(self.seen.locks) == 1:
                return self.seen.locks[0]
            raise _Wrong(f"{self.door} has no lock" if not self.seen.locks else f"which lock? {', '.join(self.seen.locks)}")
        named = name.replace(":", ".")
        if named not in known:
            raise _Wrong(f"{name} is not {kind} of {self.door}: {_near(named, known, 'there is ')}")
        return named

    def _end(self, name: str) -> End:
        plain = name.replace(":", ".", 1)
        if plain in self.ends:
            return self.ends[plain]
        ref = plain.partition(".")[0]
        near = [mark for mark in self.ends if mark.startswith(f"{ref}.")]
        raise _Wrong(f"{name} is no terminal of {self.door} that a wire is landed on: {_near(plain, near or self.ends)}")

    def _state(self, name: str) -> str:
        """The name of a state."""
        known = {_key(moment.happening.name): moment.happening.name for moment in self.moments}
        if _key(name) not in known:
            raise _Wrong(f"{name} is no state of {self.door}: {_near(name, known.values())}")
        return known[_key(name)]

    def _moment(self, name: str) -> int:
        """The number of a moment: where a bank lets go one after the other, a state and a lock."""
        for n, moment in enumerate(self.moments):
            if _key(moment.name) == _key(name):
                return n
        turns = [moment.name for moment in self.moments if _key(moment.happening.name) == _key(name)]
        if turns:
            raise _Wrong(f"in {name} its locks take turns: write {turns[0]}, or another of {len(turns)}")
        raise _Wrong(f"{name} is no state of {self.door}: {_near(name, [moment.name for moment in self.moments])}")


class _Wrong(Exception):
    pass


def _plain(end: End) -> str:
    return f"{end.device}.{end.terminal}"


def _key(name: str) -> str:
    return re.sub(r"[\s_-]+", "-", name.strip().lower())


def _near(name: str, known: Iterable[str], begin: str = "") -> str:
    all_ = list(known)
    if near := difflib.get_close_matches(name, all_, n=1):
        return f"did you mean {near[0]}?"
    return f"{begin}{', '.join(all_[:12])}{' ...' if len(all_) > 12 else ''}" if all_ else "there is none"
