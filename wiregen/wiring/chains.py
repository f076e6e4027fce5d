"""From a source through its contacts to a load: rows T1, T2, T5, T11 and T12, and the chains that review and packet read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from wiregen.reading.model import Changeover, Drive, Takes
from wiregen.wiring.calmers import Pick
from wiregen.wiring.circuits import Circuits, Feed
from wiregen.wiring.fitting import At, Fit, Step
from wiregen.wiring.joins import Join, between, poles
from wiregen.wiring.logic import Logic
from wiregen.wiring.model import Chain, ChainLink, End


class Chains:
    """Draws feeds; `limiters` stand in the plus of their coils, `heavy` loads are those of lock circuits."""

    def __init__(self, circuits: Circuits, logic: Logic, limiters: Mapping[At, Pick], heavy: Set[At]) -> None:
        self._circuits = circuits
        self._logic = logic
        self._limiters = limiters
        self._heavy = heavy
        self.found: list[Chain] = []

    def joins(self, feed: Feed) -> Iterator[Join]:
        if feed.row in ("T3", "T4") or feed.fit is None:
            return
        load = self._circuits.of(feed.load, Takes)
        first, second = poles(load)
        fit, heavy = feed.fit, feed.load in self._heavy
        is_lock = self._circuits.cast.device(feed.load.device).sheet.is_ == "lock"
        circuit = "lock power" if heavy else "power"
        plus, minus = ("lock +", "lock -") if is_lock else ("supply +", "0 V")

        def join(a: End, b: End, row: str, function: str, pole: str, ref: bool = False) -> Join:
            pole = pole if load.current == "dc" else ""
            return Join(a, b, row, circuit, function, fit.order, fit.relation.where, heavy=heavy, ref=ref, pole=pole)

        if feed.row == "T12":
            drive = self._circuits.of(feed.source, Drive)
            yield join(End(feed.source.device, drive.out), End(feed.load.device, first), "T12", "driven +", "plus")
            yield join(End(feed.source.device, drive.ref), End(feed.load.device, second), "T12", "0 V", "minus", ref=True)
            return
        source_first, source_second = poles(self._circuits.group(feed.source))
        links: list[ChainLink] = []
        ends = [End(feed.source.device, source_first)]
        for number, place in enumerate(feed.plus):
            steps = [self._enter_leave(step, links, "plus", n) for n, step in enumerate(place)]
            for enter, _ in steps:
                for end in ends:
                    yield join(end, enter, "T1", f"{plus}, chain" if number else plus, "plus")
            ends = [leave for _, leave in steps]
        limiter = self._limiters.get(feed.load)
        if limiter is not None:
            towards, away = limiter.ends
            for end in ends:
                yield join(end, End(limiter.ref, towards), "L8", plus, "plus")
            ends = [End(limiter.ref, away)]
        for end in ends:
            yield join(end, End(feed.load.device, first), feed.row, plus, "plus")
        ends = [End(feed.load.device, second)]
        for place in feed.minus:
            steps = [self._enter_leave(step, links, "minus", n) for n, step in enumerate(place)]
            for enter, _ in steps:
                for end in ends:
                    yield join(enter, end, "T1", minus, "minus")
            ends = [leave for _, leave in steps]
        for end in ends:
            if feed.sink is not None:
                drive = self._circuits.of(feed.sink.target, Drive)
                yield join(End(feed.sink.target.device, drive.out), end, "T11", "driven -", "minus")
            else:
                yield join(End(feed.source.device, source_second), end, feed.row, minus, "minus")
        self.found.append(Chain(feed.load.device, feed.load.group, feed.source.device, feed.source.group, tuple(links)))

    def _enter_leave(self, step: Step, links: list[ChainLink], pole: str, beside: int) -> tuple[End, End]:
        """T5: in at first or common, out at second, make or break.  Counted from the source on the plus side, from the load
        on the minus side."""
        group = self._circuits.group(step.at)
        side = None
        if isinstance(group, Changeover):
            side = step.side or self._logic.sides.get(step.at, "make")
            enter, leave = group.common, group.break_ if side == "break" else group.make
        else:
            enter, leave = between(group)
        ends = End(step.at.device, enter), End(step.at.device, leave)
        links.append(
            ChainLink(
                step.at.device,
                step.at.group,
                *ends,
                side="break" if side == "break" else "make" if side else None,
                pole="minus" if pole == "minus" else "plus",
                beside=beside,
            )
        )
        return ends

    def sink_reference(self, fit: Fit) -> Iterator[Join]:
        """T11: the current that a drive sinks must find its way back to the load's own supply."""
        feed = self._circuits.feeds.get(fit.own)
        if feed is None:
            return
        drive = self._circuits.of(fit.target, Drive)
        yield Join(
            End(feed.source.device, poles(self._circuits.group(feed.source))[1]),
            End(fit.target.device, drive.ref),
            "T11",
            "drive",
            "0 V",
            fit.order,
            fit.relation.where,
            ref=True,
            pole="minus",
        )
