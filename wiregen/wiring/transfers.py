"""Power transfers (L5): a core that crosses one is cut and joined to the two leads of one of the transfer's own cores."""

from __future__ import annotations

from wiregen.reading.model import Pass, Problem, Run
from wiregen.wiring.cast import Cast
from wiregen.wiring.model import End


class Transfers:
    """Gives out the cores of the door's transfers: the thickest to lock circuits, the thinnest to the rest."""

    def __init__(self, cast: Cast) -> None:
        self._cast = cast
        self._free: dict[str, list[Pass]] = {}
        self.problems: list[Problem] = []

    def core(self, run: Run, heavy: bool) -> tuple[End, End] | None:
        """The leads on the frame and on the leaf of a core that is still free; None, and a problem, if there is none."""
        key = run.transfer or ""
        groups = self._cast.device(key).sheet.groups.values()
        passes = [g for g in groups if isinstance(g, Pass) and g.between is not None]
        free = self._free.setdefault(key, list(passes))
        if not free:
            self._short(run, len(passes))
            return None
        sizes = [group.size.nominal if group.size else 0.0 for group in free]
        frame, leaf = free.pop(sizes.index(max(sizes) if heavy else min(sizes))).marks
        return End(key, frame), End(key, leaf)

    def _short(self, run: Run, count: int) -> None:
        device = self._cast.device(run.transfer or "")
        if not any(p.where == run.where for p in self.problems):
            self.problems.append(
                Problem(
                    run.where,
                    f"runs, {run.place}",
                    f"{device.ref} ({device.sheet.type}) has {count} cores and more have to cross to {run.place}",
                    f"choose a transfer with more cores: {device.ref}: {{type: ...}}",
                )
            )
