"""What stands on a wiring sheet beside the drawing: cautions, unused leads, key to letters, joints, screens, screws."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator

from wiregen.drafting.cautions import cautions_for, run_of
from wiregen.drafting.colours import NAMES, OTHER, base_and_tracer, name_of
from wiregen.drafting.flow import Block
from wiregen.drafting.parts import short
from wiregen.reading.model import Door, Site
from wiregen.wiring.model import Revised, Wiring

AT_ONCE = 12  # leads in a paragraph


def blocks_for(site: Site, door: Door, wiring: Wiring, marked: Collection[str] = ()) -> tuple[Block, ...]:
    """All blocks of a door, what matters most first; empty ones are left out.

    `marked` are the conductors and links that carry a revision mark.
    """
    blocks = [
        Block("Notes", (*cautions_for(site, door, wiring), *map(_sentence, door.notes)), first=1),
        Block("Revision", tuple(_revised(wiring.revised, marked))),
        Block("Not used", tuple(_unused(wiring)), whole=True),
        Block("Colours (IEC 60757)", tuple(_key(wiring))),
        Block("Joints and wires", tuple(_joints(wiring))),
        Block("Screens", tuple(_screens(wiring))),
        Block("Line ends", tuple(_line_ends(wiring))),
        Block("Plugs", tuple(_links(wiring))),
        Block("Spare cores", tuple(_spares(wiring))),
        Block("Screws (wires, strip, torque)", tuple(_screws(wiring))),
    ]
    return tuple(b for b in blocks if b.lines)


def _revised(revised: Revised | None, marked: Collection[str]) -> Iterator[str]:
    if revised is None:
        return
    if revised.wires:
        unraised = " The revision has not been raised." if revised.rev == revised.since else ""
        yield f"Triangle {revised.rev}: not as issued in {revised.since}.{unraised}"
    without = [wire for wire in revised.wires if wire not in marked]
    if without:
        yield f"So too, without room for it: {', '.join(without)}."
    if revised.gone:
        yield f"Removed since {revised.since}: {', '.join(text.partition(' ')[0] for text in revised.gone)}."


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def _unused(wiring: Wiring) -> Iterator[str]:
    """Leads by device, then screws.  The designation again after AT_ONCE leads, so that a list goes on in another column under
    its name."""
    leads: dict[str, list[str]] = defaultdict(list)
    for u in wiring.unused:
        if u.is_lead:
            leads[u.device].append(f"{u.terminal} {u.colour}")
    pieces = [(d, marks[n : n + AT_ONCE]) for d, marks in leads.items() for n in range(0, len(marks), AT_ONCE)]
    paragraphs: list[list[tuple[str, list[str]]]] = [[]]
    for piece in pieces:
        if sum(len(marks) for _, marks in (*paragraphs[-1], piece)) > AT_ONCE:
            paragraphs.append([])
        paragraphs[-1].append(piece)
    said = ["; ".join(f"{device} {', '.join(marks)}" for device, marks in paragraph) for paragraph in paragraphs if paragraph]
    yield from (f"{text};" for text in said[:-1])
    leads_end = f"{said[-1]}. Insulate singly and fold back." if said else ""
    empty = "Empty screws: termination sheet." if any(not u.is_lead for u in wiring.unused) else ""
    if leads_end or empty:
        yield " ".join(filter(None, (leads_end, empty)))


def _key(wiring: Wiring) -> Iterator[str]:
    used = {c.colour for c in wiring.conductors} | {u.colour for u in wiring.unused if u.colour}
    used |= {joint.lead_colour for joint in wiring.lead_joints}
    letters = {part for colour in used for part in base_and_tracer(colour) if part}
    words = [f"{k} {v}" for k, v in NAMES.items() if k in letters and k != "GNYE"]
    if "GNYE" in used:
        words.append("GNYE green-yellow, earth only")
    if words:
        traced = sorted(c for c in used if "-" in c)
        yield ", ".join(words) + (f"; {traced[0]}: {name_of(traced[0])}" if traced else "")
    if used & set(OTHER):
        yield "bare: no insulation, sleeve it"


def _joints(wiring: Wiring) -> Iterator[str]:
    """Kinds of junctions by box, leads with their length and how they are joined, sizes of wires that have no jacket."""
    kinds: dict[tuple[str, str], list[str]] = defaultdict(list)
    for j in wiring.junctions:
        kinds[j.end.device, j.kind].append(j.end.terminal)
    if kinds:
        yield "; ".join(f"{box}: {run_of(names)} {kind}" for (box, kind), names in kinds.items())
    joined = {joint.end.device: joint.kind for joint in wiring.lead_joints}
    leads: dict[tuple[str, str], list[str]] = defaultdict(list)
    for ref, device in wiring.devices.items():
        if ref in joined or (device.sheet.leads and device.used):
            leads[device.sheet.leads or "", joined.get(ref, "")].append(ref)
    if leads:
        said = (" ".join(filter(None, (run_of(refs), _mm2(text), kind))) for (text, kind), refs in leads.items())
        yield f"Leads, joined in the back box: {'; '.join(said)}"
    sizes = sorted({c.size for c in wiring.conductors if c.kind in ("wire", "jumper") and c.size})
    if sizes:
        yield f"Wires and jumpers without a jacket: {_mm2(', '.join(sizes))}"


def _mm2(text: str) -> str:
    return text.replace("mm2", "mm²").replace("N m", "N·m").replace(" x ", " × ")


def _line_ends(wiring: Wiring) -> Iterator[str]:
    for e in wiring.line_ends:
        place = f"{e.ref} at the sensor" if e.ref else "cast in"
        yield f"{e.sensor} to {e.input}: {short(e.values.series)} in series, {short(e.values.across)} across, {place}"


def _screens(wiring: Wiring) -> Iterator[str]:
    for ref, cable in wiring.cables.items():
        if cable.sheet.screen:
            where = cable.screen_why or (f"landed at {cable.screen_at}" if cable.screen_at else "insulated at both ends")
            yield f"{ref}: {where}"


def _links(wiring: Wiring) -> Iterator[str]:
    sheets = {k.sheet.type: k.sheet for k in wiring.links}
    for kind, sheet in sheets.items():
        refs = ", ".join(dict.fromkeys(k.ref for k in wiring.links if k.sheet.type == kind))
        pins = " ".join(f"{n} {core}" for n, core in enumerate(sheet.cores, 1))
        yield f"{refs}: {sheet.link}. {pins}"


def _spares(wiring: Wiring) -> Iterator[str]:
    spare = [f"{ref} {' '.join(c.spares)}" for ref, c in wiring.cables.items() if c.spares]
    if spare:
        yield f"{'; '.join(spare)}. Insulate and coil up."


def _screws(wiring: Wiring) -> Iterator[str]:
    """What each screw takes, how far to strip, how tight."""
    kinds: dict[str, list[str]] = defaultdict(list)
    for ref, device in wiring.devices.items():
        screw = device.sheet.screw
        if screw is not None and device.used:
            torque = short(screw.torque) if screw.torque else ""
            said = (screw.text, short(screw.strip) if screw.strip else "", torque)
            kinds[_mm2(", ".join(filter(None, said)))].append(ref)
    if kinds:
        yield "; ".join(f"{run_of(refs)}: {text}" for text, refs in kinds.items())
