"""What the locks of a door do at rest with some of it dead, shorted or worked from outside: wiring's own logic, struck."""

from __future__ import annotations

from collections.abc import Collection

from wiregen.review.rule import Case
from wiregen.wiring.fitting import At
from wiregen.wiring.logic import IDLE, Logic
from wiregen.wiring.logic import Case as State


class Struck(Logic):
    """The logic of a door with devices dead, outputs lost, inputs held active, and (`hung`) no program that grants."""

    def __init__(
        self,
        logic: Logic,
        *,
        dead: Collection[str] = (),
        lost: Collection[At] = (),
        active: Collection[At] = (),
        hung: bool = False,
    ) -> None:
        super().__init__(logic.circuits, logic.sides, logic.senses)
        self._dead, self._lost, self._held_active, self._hung = dead, lost, active, hung

    def _alive(self, case: State, at: At) -> bool:
        return at.device not in self._dead and super()._alive(case, at)

    def _live(self, case: State, output: At) -> bool:
        return output not in self._lost and super()._live(case, output)

    def _active(self, case: State, at: At) -> bool:
        return at in self._held_active or super()._active(case, at)

    def granted(self, case: State, key: str) -> bool:
        return not self._hung and super().granted(case, key)


def freed(case: Case, struck: Struck) -> tuple[str, ...]:
    """The locks, and machines that can be freed, that are held at rest and no longer are once the door is struck."""
    loads = [At(behaviour.lock, behaviour.group) for behaviour in case.wiring.behaviours]
    held = [load for load in loads if case.logic.lock_is(IDLE, load) == "held"]
    return tuple(load.device for load in held if struck.lock_is(IDLE, load) == "free")
