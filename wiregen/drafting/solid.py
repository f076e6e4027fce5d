"""What letters must keep clear of: rectangles, found again by the height at which they lie."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from wiregen.drafting.model import Rect

BAND = 4.0  # mm of height: a line of letters meets one or two


class Solid:
    def __init__(self, boxes: Iterable[Rect]) -> None:
        self._bands: dict[int, list[tuple[int, Rect]]] = defaultdict(list)  # with the lowest band of each
        self.add(*boxes)

    def add(self, *boxes: Rect) -> None:
        for box in boxes:
            bands = _bands(box)
            for band in bands:
                self._bands[band].append((bands.start, box))

    def remove(self, box: Rect) -> None:
        """Once, if it is there several times.  Raises ValueError if it is not there."""
        bands = _bands(box)
        for band in bands:
            self._bands[band].remove((bands.start, box))

    def near(self, box: Rect) -> Iterator[Rect]:
        """All that may meet a rectangle."""
        bands = _bands(box)
        for band in bands:
            for lowest, other in self._bands.get(band, ()):
                if lowest == band or band == bands.start:  # met first
                    yield other

    def meets(self, box: Rect) -> bool:
        """Whether anything does."""
        x, y, w, h = box
        right, top = x + w, y + h
        for band in _bands(box):
            for _, (ox, oy, ow, oh) in self._bands.get(band, ()):
                if ox < right and x < ox + ow and oy < top and y < oy + oh:
                    return True
        return False


def _bands(box: Rect) -> range:
    return range(int(box.y // BAND), int((box.y + box.h) // BAND) + 1)
