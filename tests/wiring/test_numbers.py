"""Letters of the pieces of a potential."""

from __future__ import annotations

from wiregen.wiring.numbers import letters


def test_letters_leave_out_those_that_are_read_as_figures() -> None:
    """l and o beside digits: drawing practice, no source."""
    given = [letters(n) for n in range(1000)]
    assert "".join(given[:24]) == "abcdefghijkmnpqrstuvwxyz"
    assert given[24:27] == ["aa", "ab", "ac"]
    assert len(set(given)) == len(given)
    assert not set("lo") & set("".join(given))
