"""Widths, sizes and heights of everything that is printed, in millimetres.  Whoever measures or draws takes them from here."""

from __future__ import annotations

# lines (ISO 128-20 widths); only a conductor is 0.5 wide, so that ink alone tells what is joined
CONDUCTOR = 0.5
CASED = 0.95  # a light or traced conductor with its dark casing
NARROW = 0.25  # everything else: boxes, symbols, links, jackets
CHAIN = 0.9  # between what a stranger can reach and what not
FRAME = 0.7

# marks at the ends of conductors
TERMINAL = 1.8  # diameter of an open circle
JACK = 1.8  # side of a square
DOT = 1.4  # diameter of a filled dot

# heights of capitals (ISO 3098)
LETTER = 2.5  # wire numbers, colour letters, terminal marks, values of the title block
DESIGNATION = 3.5  # bold
SMALL = 1.8  # names, notes, captions
LINE = 1.5  # pitch of lines as a multiple of the height of capitals (ISO 3098, type B: 15/10 with small letters)

# a terminal's mark: from the centre of its circle to the letters
MARK_GAP = 1.5

# a device's title: designation at `title_at`, each further line so much lower
TITLE_PITCH = SMALL * LINE
