"""A door's logic with something of it struck: devices dead, outputs lost, contacts welded, a program that hangs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from wiregen.wiring.fitting import At
from wiregen.wiring.logic import Case, Logic

NONE: frozenset[At] = frozenset()
NOTHING: Mapping[At, bool] = {}


@dataclass(frozen=True)
class Strike:
    """What is not as it should be, or is done to the door beyond its case.

    `lost` outputs give nothing, `unfed` loads and jacks get nothing, `cut` lines carry no message, `stuck` contacts stand as
    said, `active` inputs are worked.  `opened` devices find their leaf open.  `granted`: a credential is accepted.  `hung`: the
    program stands as at rest, or as in a grant.  `pressed`: of all that is worked by hand only these are; None leaves it to
    the case.
    """

    dead: frozenset[str] = frozenset()
    lost: frozenset[At] = NONE
    unfed: frozenset[At] = NONE
    cut: frozenset[At] = NONE
    active: frozenset[At] = NONE
    stuck: tuple[tuple[str, bool], ...] = ()
    mains: bool = True
    opened: frozenset[str] = frozenset()
    granted: bool = False
    hung: Literal["rest", "moved"] | None = None
    pressed: frozenset[str] | None = None

    def and_(self, fault: Strike) -> Strike:
        """This state of the door with what a fault does to it; what the state itself says of a contact gives way."""
        return replace(
            self,
            dead=self.dead | fault.dead,
            lost=self.lost | fault.lost,
            unfed=self.unfed | fault.unfed,
            cut=self.cut | fault.cut,
            active=self.active | fault.active,
            stuck=self.stuck + fault.stuck,
        )


WHOLE = Strike()


@dataclass(frozen=True)
class Seen:
    """What the network shows of loads (powered) and inputs (active), and which outputs gave more than they can."""

    on: Mapping[At, bool] = field(default_factory=dict)
    active: Mapping[At, bool] = field(default_factory=dict)
    tripped: frozenset[At] = NONE
    down: frozenset[str] = frozenset()  # devices that an overload takes with it


UNSEEN = Seen()


class Struck(Logic):
    """The logic of a door, struck; what the network shows goes before what the circuits say."""

    def __init__(self, logic: Logic, strike: Strike, seen: Seen = UNSEEN) -> None:
        super().__init__(logic.circuits, logic.sides, logic.senses)
        self.strike, self.seen, self.at_rest = strike, seen, logic

    def _alive(self, case: Case, at: At) -> bool:
        return at.device not in self.strike.dead and at.device not in self.seen.down and super()._alive(case, at)

    def _on(self, case: Case, load: At) -> bool:
        if load in self.strike.unfed:
            return False
        if load in self.seen.on:
            return self.seen.on[load]
        feed = self.circuits.feeds.get(load)
        if feed is not None and feed.row == "T3" and not self.strike.mains:
            return False
        return super()._on(case, load)

    def _live(self, case: Case, output: At) -> bool:
        gone = output in self.strike.lost or output in self.seen.tripped
        return not gone and not {output.device} & (self.strike.dead | self.seen.down) and super()._live(case, output)

    def _active(self, case: Case, at: At) -> bool:
        if at in self.strike.active:
            return True
        return self.seen.active[at] if at in self.seen.active else super()._active(case, at)

    def granted(self, case: Case, key: str) -> bool:
        if self.strike.hung:
            return self.strike.hung == "moved"
        asked = self.strike.granted or case.state == "grant"
        if self.any_set(case, key, "wait"):
            return False
        return (asked and self._hears(case, key)) or self.any_set(case, key, "unlock")

    def _hears(self, case: Case, key: str) -> bool:
        """Whether a credential can reach the controller: through a reader of its own or one that speaks to it."""
        links = [(fit.own, fit.target) for fit in self.circuits.fits if fit.row == "T13"]
        heard = [
            self.alive(case, other.device) and not {one, other} & self.strike.cut
            for pair in links
            for one, other in (pair, pair[::-1])
            if one.device == key and self.cast.device(other.device).sheet.is_ == "reader"
        ]
        return any(heard) or not heard

    def _word(self, case: Case, key: str, word: str) -> bool:
        if word == "mains" and not self.strike.mains:
            return False
        if word == "shut" and key in self.strike.opened:
            return False
        if word == "pressed" and self.strike.pressed is not None:
            return key in self.strike.pressed
        return super()._word(case, key, word)

    def _commanded(self, case: Case, at: At) -> bool:
        fits = [fit for fit in self.circuits.fits if fit.row == "T13" and not {fit.own, fit.target} & self.strike.cut]
        masters = [fit.target.device for fit in fits if fit.own == at] or [fit.own.device for fit in fits if fit.target == at]
        found = [self.alive(case, key) and self.granted(case, key) for key in masters]
        return any(found)
