"""The proof: what the ink of a door's pages joins is what the conductor list says, both ways.

`prove` takes the PDF bytes of all wiring pages of one door and what they have to show, and gives every defect found.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from tests.proof.expect import Expected, Terminal
from tests.proof.hues import letters_of
from tests.proof.jackets import check_jackets
from tests.proof.joints import Seen, check_references, name_joints
from tests.proof.links import links
from tests.proof.marks import MARK_HEIGHT, Defect, Marks, box_gap, find_marks
from tests.proof.page import Page, Text
from tests.proof.reader import read_pages
from tests.proof.rules import chain_sides, check_page
from tests.proof.trace import LABEL_FROM_END, Groups, Path, trace

FOLD_BACK = "insulate singly and fold back"
ABUT = 2.5  # mm between words of one line of small print, at the most


@dataclass
class Drawn:
    """What the pages of one door show."""

    ends: dict[str, list[Terminal]] = field(default_factory=lambda: defaultdict(list))  # wire -> terminals at its ends
    joints: dict[str, list[Terminal]] = field(default_factory=lambda: defaultdict(list))  # wire -> joints at its ends
    colours: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    links: list[frozenset[Terminal]] = field(default_factory=list)
    terminals: dict[Terminal, str | None] = field(default_factory=dict)  # with the lead's colour
    joined: Groups = field(default_factory=Groups)
    texts: list[str] = field(default_factory=list)
    pages: list[tuple[Page, Marks, list[Path]]] = field(default_factory=list)


def prove(pdf: bytes, expected: Expected, only: Sequence[int] | None = None) -> list[Defect]:
    """Every defect of a door's wiring pages; `only` picks pages of the PDF, counted from 1."""
    pages = read_pages(pdf)
    picked = [pages[n - 1] for n in only] if only else list(pages)
    found: list[Defect] = []
    drawn = read_door(picked, found)
    found += compare(drawn, expected)
    found += check_jackets(
        [(page, paths) for page, _, paths in drawn.pages], expected.cables, frozenset(expected.cables.values())
    )
    return found


def read_door(pages: Sequence[Page], found: list[Defect]) -> Drawn:
    drawn, seen = Drawn(), list[Seen]()
    for number, page in enumerate(pages, 1):
        marks = find_marks(page, number, found)
        paths = trace(page, marks, number, found)
        found += check_page(page, marks, paths, number)
        drawn.pages.append((page, marks, paths))
        drawn.texts += _in_order(page.texts)
        for terminal in marks.terminals:
            drawn.terminals[terminal.key] = terminal.lead
        for a, b in links(page, marks, number, found):
            drawn.links.append(frozenset((marks.terminals[a].key, marks.terminals[b].key)))
        _take_paths(drawn, marks, paths, name_joints(page, marks, paths, number, found, seen), number, found)
    found += check_references(pages, seen)
    return drawn


def _in_order(texts: Sequence[Text]) -> list[str]:
    """Small print line by line, column by column: what abuts on a base line is one line, lines that begin alike a column."""
    lines: list[tuple[float, float, float, str]] = []  # where it begins, base line, where it ends, words
    for text in sorted((t for t in texts if t.capitals < MARK_HEIGHT - 0.1), key=lambda t: (-round(t.base, 1), t.box.x0)):
        begin, base, end, words = lines[-1] if lines else (0, 0, 0, "")
        if lines and abs(base - text.base) < 0.1 and -0.1 < text.box.x0 - end < ABUT:
            lines[-1] = begin, base, text.box.x1, f"{words} {text.text}"
        else:
            lines.append((text.box.x0, text.base, text.box.x1, text.text))
    return [words for _, _, _, words in sorted(lines, key=lambda line: (round(line[0]), -line[1]))]


def _take_paths(
    drawn: Drawn, marks: Marks, paths: list[Path], joints: dict[int, Terminal], number: int, found: list[Defect]
) -> None:
    """Names the ends of each path; unlabelled ink between dots is the bar of a joint."""
    for n, joint in joints.items():
        drawn.joined.join((number, "dot", n), ("joint", *joint))
    for path in paths:
        ends = [_name(node, marks, number) for node in path.nodes]
        for end in ends[1:]:
            drawn.joined.join(ends[0], end)
    for path in paths:
        at = path.pieces[0].a
        said = sorted({(k.colour, k.wire) for k in path.labels})
        if not said:
            if any(kind != "dot" for kind, _ in path.nodes):
                found.append(Defect("label", "a conductor without a label", number, at))
            continue
        if len(said) > 1:
            found.append(Defect("label", f"a conductor with different labels: {said}", number, at))
        colour, wire = said[0]
        seen = letters_of(path.colour, path.tracer)
        if seen is not None and colour not in seen:
            found.append(Defect("colour", f"{wire} is labelled {colour} and drawn {' or '.join(sorted(seen))}", number, at))
        drawn.colours[wire].add(colour)
        for node, point in path.ends:
            if node[0] == "terminal":
                drawn.ends[wire].append(marks.terminals[node[1]].key)
                if not any(box_gap(k.text.box, point) <= LABEL_FROM_END for k in path.labels):
                    found.append(Defect("label", f"no label of {wire} near its end", number, point))
            elif node[0] == "dot":
                drawn.joints[wire].append(joints[node[1]])
            else:
                found.append(Defect("open end", f"{wire} ends in the open", number, point))
        if len(path.labels) < 2 and path.length > 2.2 * path.labels[0].text.box.w + 4:
            found.append(Defect("label", f"{wire} is labelled at one end only", number, at))


def _name(node: tuple[str, int], marks: Marks, number: int) -> object:
    kind, n = node
    return marks.terminals[n].key if kind == "terminal" else (number, kind, n)


def compare(drawn: Drawn, expected: Expected) -> Iterator[Defect]:
    """Both ways: what is drawn and not listed, listed and not drawn, or drawn otherwise."""
    listed = {c.wire: c for c in expected.conductors}
    for wire in sorted(set(drawn.ends) | set(drawn.joints) | set(listed)):
        if wire not in listed:
            yield Defect("list", f"{wire} is drawn and not listed")
            continue
        if wire not in drawn.colours:
            yield Defect("list", f"{wire} is listed and not drawn")
            continue
        want = sorted(e for e in listed[wire].ends if e not in expected.joints)
        got = sorted(drawn.ends[wire])
        if want != got:
            yield Defect("ends", f"{wire} joins {got}, listed {want}")
        joints = sorted(e for e in listed[wire].ends if e in expected.joints)
        if joints != sorted(drawn.joints[wire]):
            yield Defect("joint", f"{wire} ends in the joints {sorted(drawn.joints[wire])}, listed {joints}")
        if drawn.colours[wire] != {listed[wire].colour}:
            yield Defect("colour", f"{wire} is labelled {sorted(drawn.colours[wire])}, listed {listed[wire].colour}")
    yield from _compare_potentials(drawn, expected)
    yield from _compare_links(drawn, expected)
    yield from _compare_rest(drawn, expected)
    yield from _compare_exposure(drawn, expected)


def _compare_potentials(drawn: Drawn, expected: Expected) -> Iterator[Defect]:
    """The partition of terminals by ink alone, labels unread."""
    wanted = Groups()
    for copper in expected.conductors:
        wanted.join(*copper.ends)
    ends = {e for c in expected.conductors for e in c.ends if e not in expected.joints}
    want = {frozenset(g) for g in wanted.groups(ends).values()}
    joined = drawn.joined.groups(t for t in drawn.terminals if t in ends)
    have = {frozenset(g) for g in joined.values()}
    for group in sorted(map(sorted, want - have)):  # type: ignore[type-var]
        yield Defect("partition", f"listed as one potential, not drawn so: {group}")
    for group in sorted(map(sorted, have - want)):  # type: ignore[type-var]
        yield Defect("partition", f"drawn as one potential, not listed so: {group}")
    stray = drawn.joined.groups(drawn.terminals)
    for group in stray.values():
        if len(group) > 1 and not ends.issuperset(group):
            yield Defect("partition", f"a terminal that carries nothing is joined: {sorted(group)}")  # type: ignore[type-var]


def _compare_links(drawn: Drawn, expected: Expected) -> Iterator[Defect]:
    want, have = sorted(sorted(k) for k in expected.links), sorted(sorted(k) for k in drawn.links)
    for link in want:
        if link not in have:
            yield Defect("link", f"listed and not drawn: {link}")
    for link in have:
        if link not in want:
            yield Defect("link", f"drawn and not listed: {link}")


def _compare_rest(drawn: Drawn, expected: Expected) -> Iterator[Defect]:
    for key, colour in drawn.terminals.items():
        want = expected.leads.get(key)
        if colour != want and (want, colour) != ("bare", None):
            yield Defect("lead", f"{key[0]}:{key[1]} is marked as a lead of colour {colour}, its sheet says {want}")
    note = " ".join(drawn.texts)
    leads = [u for u in expected.unused if u[2] is not None]
    if leads and FOLD_BACK not in note.lower():
        yield Defect("unused", f"no word to {FOLD_BACK!r}")
    for device, mark, colour in leads:
        named = rf"(?<!\w){re.escape(device)}:? (?:[^:;]*, )?{re.escape(mark)} {re.escape(colour or '')}(?![\w-])"
        if not re.search(named, note):
            yield Defect("unused", f"{device}:{mark} {colour} is not used and not listed")


def _compare_exposure(drawn: Drawn, expected: Expected) -> Iterator[Defect]:
    for number, (page, marks, _) in enumerate(drawn.pages, 1):
        sides, chained = chain_sides(page, marks)
        by_side: dict[int, dict[bool, list[str]]] = defaultdict(lambda: defaultdict(list))
        for ref, side in sides.items():
            by_side[side][expected.exposed.get(ref, False)].append(ref)
        for ref in (ref for refs in by_side.pop(0, {}).values() for ref in refs):
            yield Defect("chain line", f"{ref} stands on the chain line", number)
        for refs in by_side.values():
            if refs[True] and refs[False]:
                yield Defect(
                    "chain line",
                    f"no chain line between {sorted(refs[True])}, which a stranger can reach, and {sorted(refs[False])}",
                    number,
                )
        if chained and sides and not any(expected.exposed.values()):
            yield Defect("chain line", "a chain line where a stranger reaches nothing", number)
