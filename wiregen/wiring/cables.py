"""Cables: the smallest of the stock with enough cores for each bundle, under designations W1, W2 ..."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wiregen.reading.model import CableSheet, Problem, Where
from wiregen.wiring.cast import Cast
from wiregen.wiring.colours import EARTH, Wish
from wiregen.wiring.copper import Bundle, Piece
from wiregen.wiring.model import Remark


class Stock:
    """Chooses cables of the site's stock, and says so where it has none that fits."""

    def __init__(self, cast: Cast, wish: Callable[[Piece], Wish]) -> None:
        self.cast = cast
        self.wish = wish
        self.problems: list[Problem] = []
        self.remarks: list[Remark] = []

    def pulled(self, bundle: Bundle) -> list[tuple[Bundle, CableSheet]]:
        """The bundle as cables: one, or several where no cable of the stock has enough cores."""
        written = self._written(bundle)
        if written is not None:
            if len(written.cores) < len(bundle.pieces):
                self._too_few(bundle, written)
            return [(bundle, written)]
        if bundle.class_ == "earth":
            wire = self.cast.site.stock.wire
            return [(bundle, replace(wire, cores=(EARTH,) * len(bundle.pieces), name="earth conductor"))]
        parts = self._parts(bundle)
        return [(part, sheet) for part in parts if (sheet := self._smallest(part)) is not None]

    def _written(self, bundle: Bundle) -> CableSheet | None:
        name = bundle.choice.type if bundle.choice and bundle.choice.type else bundle.run_cable
        sheet = self.cast.site.sheets.get(name) if name else None
        return sheet if isinstance(sheet, CableSheet) else None

    def _of_class(self, class_: str) -> tuple[CableSheet, ...]:
        stock = self.cast.site.stock
        return {"power": stock.power, "line": stock.line}.get(class_, stock.signal)

    def _parts(self, bundle: Bundle) -> list[Bundle]:
        """Split where there are more cores than the largest cable has: the data line and its power stay together."""
        sheets = self._of_class(bundle.class_)
        most = max((len(sheet.cores) for sheet in sheets), default=0)
        if not most or len(bundle.pieces) <= most:
            return [bundle]
        pieces = list(bundle.pieces)
        if bundle.class_ == "line":
            first = sorted(pieces, key=lambda p: not (self.wish(p).data or self.wish(p).pole))[:most]
            rest_class = "signal"
            who = " and ".join(bundle.serves) or "this run"
            text = f"no cable in `stock: line` has the {len(pieces)} cores that {who} needs: a second cable carries the rest"
            self.remarks.append(Remark(text, self._where(bundle), "line-cable-small"))
        else:
            first, rest_class = pieces[:most], bundle.class_
        rest = [p for p in pieces if p not in first]
        part = replace_bundle(bundle, bundle.class_, [p for p in pieces if p in first])
        return [part, *self._parts(replace_bundle(bundle, rest_class, rest))]

    def _smallest(self, bundle: Bundle) -> CableSheet | None:
        wishes = [self.wish(piece) for piece in bundle.pieces]
        minus_core = self.cast.site.house.minus_core
        enough = [s for s in self._of_class(bundle.class_) if len(s.cores) >= len(wishes)]
        if not enough:
            self._none(bundle)
            return None
        plus = sum(wish.pole == "plus" for wish in wishes)
        right = [s for s in enough if plus <= sum(core != minus_core for core in s.cores)] or enough
        return right[0]

    def _where(self, bundle: Bundle) -> Where:
        run = self.cast.run(bundle.along[0])
        if bundle.choice is not None:
            return bundle.choice.where
        return run.where if run else self.cast.site.where

    def _none(self, bundle: Bundle) -> None:
        self.problems.append(
            Problem(
                self._where(bundle),
                f"runs, {bundle.along[0]}",
                f"the site's stock has no {bundle.class_} cable for the {len(bundle.pieces)} cores "
                f"from {bundle.along[0]} to {bundle.along[-1]}",
                f"name one: stock: {{{bundle.class_}: [TYPE, ...]}}, or lay one down under `cables`",
            )
        )

    def _too_few(self, bundle: Bundle, sheet: CableSheet) -> None:
        self.problems.append(
            Problem(
                self._where(bundle),
                "cables" if bundle.choice else f"runs, {bundle.along[0]}, cable",
                f"{sheet.type} has {len(sheet.cores)} cores; from {bundle.along[0]} to {bundle.along[-1]} "
                f"{len(bundle.pieces)} are needed",
                "choose a cable with more cores, or let it serve fewer devices",
            )
        )


def replace_bundle(bundle: Bundle, class_: str, pieces: list[Piece]) -> Bundle:
    """The same run with some of its pieces, which then belong to it."""
    part = Bundle(class_, bundle.along, bundle.serves, bundle.order, bundle.trunk, bundle.choice, bundle.run_cable, pieces)
    for piece in pieces:
        piece.bundle = part
    return part
