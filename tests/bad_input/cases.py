# ruff: noqa: E501  (messages stand here as they are printed)
"""Bad inputs and what is promised for each, word for word.

A case is one edit to the good site beside it: in `file`, `old` becomes `new`, or the file becomes `new` where `old` is
empty.  `says` is the whole message; the site stands in the folder `site`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Case:
    """`name` says what is wrong."""

    name: str
    file: str
    old: str
    new: str | bytes
    says: str = ""

    @property
    def promised(self) -> list[str]:
        return self.says.strip("\n").split("\n")


def spoil(site: Path, case: Case) -> None:
    """Makes the edit in a copy of the good site."""
    path = site / case.file
    new = case.new.encode() if isinstance(case.new, str) else case.new
    raw = path.read_bytes() if path.exists() else b""
    assert case.old.encode() in raw, f"the good site has changed: {case.old} is not in {case.file}"
    path.write_bytes(raw.replace(case.old.encode(), new, 1) if case.old else new)


D1, D2, D3, KIT, SITE, LOCK = (
    "doors/D1.yaml",
    "doors/D2.yaml",
    "doors/D3.yaml",
    "kits/store.yaml",
    "site.yaml",
    "devices/try-lock.yaml",
)

CASES = [
    # the file itself
    Case(
        "tab",
        D1,
        "  A1: {from",
        "\tA1: {from",
        r"""
site/doors/D1.yaml:5:1: a tab stands where YAML wants blanks
    indent with blanks
""",
    ),
    Case(
        "syntax",
        D1,
        "{from: N1.p-1}",
        "{from: N1.p-1",
        r"""
site/doors/D1.yaml:6:1: this is not YAML: did not find expected ',' or '}' (while parsing a flow mapping)
    look for a missing quote, bracket or colon just before
""",
    ),
    Case(
        "not utf-8",
        D1,
        "",
        b"door: D1\nname: Ofenhalle \xe4\n",
        r"""
site/doors/D1.yaml:2:17: the file is not UTF-8 text
    save it as UTF-8
""",
    ),
    Case(
        "control character",
        D1,
        "Glaze store",
        b"Glaze \x07store",
        r"""
site/doors/D1.yaml:2:13: the control character U+0007 stands in the file
    take it out
""",
    ),
    Case(
        "too large",
        D1,
        "",
        b"# " + b"x" * 1_000_001,
        r"""
site/doors/D1.yaml:1:1: the file is larger than 1 MB
    split it
""",
    ),
    Case(
        "too deep",
        D1,
        "",
        "door: D1\nname: " + "[" * 40 + "]" * 40 + "\n",
        r"""
site/doors/D1.yaml:2:36: more than 30 levels deep
    specs need six or so
""",
    ),
    Case(
        "empty file",
        D1,
        "",
        "# nothing\n",
        r"""
site/doors/D1.yaml:1:1: the file is empty
    its first key says what it is: site, door, kit or type
""",
    ),
    Case(
        "a list",
        D1,
        "",
        "- door: D1\n",
        r"""
site/doors/D1.yaml:1:1: a spec file is a mapping (key: value)
    start with site, door, kit or type
""",
    ),
    Case(
        "two documents",
        D1,
        "like: store",
        "like: store\n---\ndoor: D9",
        r"""
site/doors/D1.yaml:4:1: a second document begins
    one file, one document
""",
    ),
    Case(
        "alias bomb",
        D1,
        "Glaze store",
        "&a [x, x]\nnotes: [*a, *a, *a]",
        r"""
site/doors/D1.yaml:3:9: the alias *a repeats another part of the file
    write it out, or put what doors share into a kit
""",
    ),
    Case(
        "tag",
        D1,
        "Glaze store",
        "!!python/object/apply:os.system [ls]",
        r"""
site/doors/D1.yaml:2:7: the tag tag:yaml.org,2002:python/object/apply:os.system
    tags are not used: leave it out
""",
    ),
    Case(
        "key twice",
        D1,
        "like: store",
        "like: store\nname: Other",
        r"""
site/doors/D1.yaml:4:1: the key name is given twice (first in line 2)
    keep one
""",
    ),
    Case(
        "no value",
        D1,
        "like: store",
        "like:",
        r"""
site/doors/D1.yaml:3:1: like has no value
    write one, or take the key out
""",
    ),
    Case(
        "comma in a value",
        D2,
        "{height: 1100 mm}",
        "{gap: 0..15 mm, 0..8 on steel}",
        r"""
site/doors/D2.yaml:11:61: devices, S1, mount: 0..8 on steel has no value: a comma inside a value of {...} ends it
    quote it: gap: "..., 0..8 on steel"
""",
    ),
    Case(
        "comma in a reason",
        D3,
        '{none: "a locker of 400 mm, nobody fits in"}',
        "{none: a locker of 400 mm, nobody fits in}",
        r"""
site/doors/D3.yaml:3:38: leave-by: nobody fits in has no value: a comma inside a value of {...} ends it
    quote it: none: "..., nobody fits in"
""",
    ),
    Case(
        "line end",
        D1,
        "Glaze store",
        '"Glaze\\nstore"',
        r"""
site/doors/D1.yaml:2:7: name: a line end stands inside the text
    the sheets cannot print it: take it out
""",
    ),
    Case(
        "right to left",
        D1,
        "Glaze store",
        '"Glaze \\u202Eerots"',
        r"""
site/doors/D1.yaml:2:7: name: the invisible character U+202E stands in the text
    the sheets cannot print it: take it out
""",
    ),
    Case(
        "missing glyph",
        D1,
        "Glaze store",
        "Glaze 窯 store",
        r"""
site/doors/D1.yaml:2:7: name: the character 窯 (U+7AAF) has no glyph in the font
    the sheets cannot print it: take it out
""",
    ),
    # names
    Case(
        "id leaves the folder",
        D1,
        "door: D1",
        "door: ../D1",
        r"""
site/doors/D1.yaml:1:7: door: '../D1' cannot be a file name
    use letters, digits, - and _, such as D104
""",
    ),
    Case(
        "id is absolute",
        D1,
        "door: D1",
        "door: /etc/D1",
        r"""
site/doors/D1.yaml:1:7: door: '/etc/D1' cannot be a file name
    use letters, digits, - and _, such as D104
""",
    ),
    Case(
        "id is empty",
        D1,
        "door: D1",
        'door: ""',
        r"""
site/doors/D1.yaml:1:7: door: an empty text
    such as D104
""",
    ),
    Case(
        "id is a device of the file system",
        D1,
        "door: D1",
        "door: NUL",
        r"""
site/doors/D1.yaml:1:7: door: NUL is a name that some file systems keep for themselves
    take another, such as D104
""",
    ),
    Case(
        "id is the name of what doors share",
        D1,
        "door: D1",
        "door: Site",
        r"""
site/doors/D1.yaml:1:7: door: Site is the name of what the doors share
    take another, such as D104
""",
    ),
    Case(
        "id twice",
        D2,
        "door: D2",
        "door: d1",
        r"""
site/doors/D2.yaml:1:7: door: the door d1 is there twice
    the first is in site/doors/D1.yaml:1:7
""",
    ),
    Case(
        "bad designation",
        D1,
        "  A1: {from",
        "  front reader: {from",
        r"""
site/doors/D1.yaml:5:3: devices, front reader: front reader is no designation
    letters, then a number, such as A1 or FB2
site/doors/D1.yaml:5:17: devices, front reader: type is missing in the device
    Its data sheet; such as type: strike-12
""",
    ),
    Case(
        "bank that counts otherwise",
        D3,
        "K1.c-1..3",
        "K1.c-1..4",
        r"""
site/doors/D3.yaml:16:60: devices, Y1..3, through: K1.c-1..4 counts 4, its bank counts 3
    both must count alike
""",
    ),
    Case(
        "bank backwards",
        D3,
        "  Y1..3: {type",
        "  Y3..1: {type",
        r"""
site/doors/D3.yaml:7:11: at-once: there is no device Y1 in this door
    its devices: A1, U1, K1
site/doors/D3.yaml:7:11: at-once: there is no device Y2 in this door
    its devices: A1, U1, K1
site/doors/D3.yaml:7:11: at-once: there is no device Y3 in this door
    its devices: A1, U1, K1
site/doors/D3.yaml:16:3: devices: Y3..1 does not count upwards
    write first..last, such as Y1..8
""",
    ),
    # keys
    Case(
        "unknown key",
        D2,
        "tells: {bond",
        "tels: {bond",
        r"""
site/doors/D2.yaml:10:93: devices, Y1: a device has no key tels
    did you mean tells?; allowed: type, at, from, through, tells, speaks, obeys, earths, by, mount, set, want, calm, existing
""",
    ),
    Case(
        "unknown door key",
        D2,
        "exposed: [",
        "exposd: [",
        r"""
site/doors/D2.yaml:6:1: a door has no key exposd
    did you mean exposed?; allowed: door, kit, like, name, about, leave-by, want, order, use, at-once, fire-rating, runs, exposed, feeds, feed, devices, cables, conductors, as-built, accept, notes, revisions
""",
    ),
    Case(
        "missing key",
        D2,
        "name: Kiln hall\n",
        "",
        r"""
site/doors/D2.yaml:1:1: name is missing in the door
    Its name, as people call it; such as name: Seed hall
""",
    ),
    Case(
        "missing through the kit",
        KIT,
        "leave-by: handle\n",
        "",
        r"""
site/doors/D1.yaml:1:1: leave-by is missing in the door
    How one leaves. Mechanical: handle, bar; electrical: sensor, button, call-point, bar-switch; several may be listed. Where nobody can be inside: {none: why}; such as leave-by: handle
""",
    ),
    Case(
        "missing type",
        D2,
        "{type: motion, at",
        "{at",
        r"""
site/doors/D2.yaml:12:7: devices, S2: type is missing in the device
    Its data sheet; such as type: strike-12
""",
    ),
    Case(
        "not one of the words",
        D2,
        "idle: held",
        "idle: closed",
        r"""
site/doors/D2.yaml:4:14: want, idle: closed is not one of the words allowed
    allowed: held, free
""",
    ),
    Case(
        "way out",
        D2,
        "[sensor, button]",
        "[sensor, botton]",
        r"""
site/doors/D2.yaml:3:20: leave-by, 2: botton is not one of the words allowed
    did you mean button?; allowed: handle, bar, sensor, button, call-point, bar-switch
""",
    ),
    Case(
        "a text for a list",
        D2,
        "exposed: [outside]",
        "exposed: outside",
        r"""
site/doors/D2.yaml:6:10: exposed: a text where a list is due
    such as [outside]
""",
    ),
    Case(
        "run without length",
        D2,
        "frame: [box, 3 m]",
        "frame: [box]",
        r"""
site/doors/D2.yaml:5:38: runs, frame: 1 of at least 2
    such as [closet-1, 55 m]
""",
    ),
    Case(
        "bad date",
        D1,
        "like: store",
        "like: store\nrevisions: [{rev: A, date: 2026-02-30, what: first}]",
        r"""
site/doors/D1.yaml:4:28: revisions, 1, date: 2026-02-30 is no date
    write year-month-day, such as 2026-11-20
""",
    ),
    # quantities
    Case(
        "no unit",
        D2,
        "[box, 3 m]",
        "[box, 3]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: 3 has no unit where a length is due
    write a length, such as 62 m; units: m, mm, cm, km, ft, in
""",
    ),
    Case(
        "a temperature for a length",
        D2,
        "[box, 3 m]",
        "[box, 25 °C]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: 25 °C is a temperature where a length is due
    write a length, such as 62 m; units: m, mm, cm, km, ft, in
""",
    ),
    Case(
        "not a number",
        D2,
        "[box, 3 m]",
        "[box, nan m]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: nan m is not a length
    write a length, such as 62 m
""",
    ),
    Case(
        "not finite",
        D2,
        "[box, 3 m]",
        "[box, 1e999 m]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: 1e999 m is not finite
    write a length, such as 62 m
""",
    ),
    Case(
        "negative",
        D2,
        "[box, 3 m]",
        "[box, -3 m]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: -3 m is negative
    write a length, such as 62 m
""",
    ),
    Case(
        "decimal comma",
        D2,
        "[box, 3 m]",
        '[box, "3,5 m"]',
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: 3,5 m is not a length
    write 3.5 m
""",
    ),
    Case(
        "unknown unit",
        D2,
        "[box, 3 m]",
        "[box, 3 furlong]",
        r"""
site/doors/D2.yaml:5:44: runs, frame, 2: furlong is no unit for a length
    write a length, such as 62 m; units: m, mm, cm, km, ft, in
""",
    ),
    Case(
        "band backwards",
        LOCK,
        "10.8..13.2 V",
        "13.2..10.8 V",
        r"""
site/devices/try-lock.yaml:7:80: groups, coil, range: 13.2..10.8 V runs backwards
    write the smaller number first
""",
    ),
    # references
    Case(
        "no data sheet",
        D2,
        "type: motion",
        "type: motoin",
        r"""
site/doors/D2.yaml:12:14: devices, S2, type: there is no data sheet motoin
    did you mean motion?
""",
    ),
    Case(
        "a cable for a device",
        D2,
        "type: motion",
        "type: cable-2x1.0",
        r"""
site/doors/D2.yaml:12:14: devices, S2, type: cable-2x1.0 is a cable where a device is due
    name a data sheet of a device
""",
    ),
    Case(
        "no device",
        D2,
        "S2.chain",
        "S3.chain",
        r"""
site/doors/D2.yaml:10:72: devices, Y1, through: there is no device S3 in this door or among the shared devices of the site
    there are: A1, B1, BT1, FA1, FB1, G1, N1, PP1, S1, S2, U1, Y1
""",
    ),
    Case(
        "no group",
        D2,
        "A1.aux-1",
        "A1.aux-9",
        r"""
site/doors/D2.yaml:10:107: devices, Y1, tells: A1 (inner-controller) has no group aux-9
    did you mean aux-2?
""",
    ),
    Case(
        "no supply output",
        D2,
        "FB1.f-2",
        "FB1.f-12",
        r"""
site/doors/D2.yaml:10:42: devices, Y1, from: FB1 (fuse-board-8) has no group f-12
    did you mean f-2?
""",
    ),
    Case(
        "no switch port",
        D2,
        "N1.p-2",
        "N1.p-20",
        r"""
site/doors/D2.yaml:8:47: devices, A1, from: N1 (poe-switch-16) has no group p-20
    did you mean p-2?
""",
    ),
    Case(
        "no own group",
        D2,
        "{bond: A1.aux-1}",
        "{bnod: A1.aux-1}",
        r"""
site/doors/D2.yaml:10:107: devices, Y1, tells: magnet-24 has no group bnod
    did you mean bond?
""",
    ),
    Case(
        "no side",
        D2,
        "S2.chain",
        "S2.chain.make",
        r"""
site/doors/D2.yaml:10:72: devices, Y1, through: S2.chain is a contact: it has no make side
    write S2.chain
""",
    ),
    Case(
        "no terminal",
        D2,
        "exposed: [outside]",
        'exposed: [outside]\nconductors: {add: [{from: "A1:NX", to: "A1:NC", why: trial}]}',
        r"""
site/doors/D2.yaml:7:27: conductors, add: A1 (inner-controller) has no terminal NX
    there are: 0V, 0V2, 0V3, 12V, A, AUX1, AUX2, B, COM, COM2, D0, D1, DOOR, EXIT, LED, NC, NC2, NO, NO2, Q1, Q2, Q3, R+, R-, SH, V+, V-
""",
    ),
    Case(
        "no kit",
        D1,
        "like: store",
        "like: stoer",
        r"""
site/doors/D1.yaml:3:7: like: there is no kit stoer
    did you mean store?
""",
    ),
    Case(
        "no feed",
        D3,
        "feed: port",
        "feed: prot",
        r"""
site/doors/D3.yaml:8:7: feed: there is no feed prot
    did you mean port?
""",
    ),
    Case(
        "no door",
        D2,
        "A1.aux-1",
        "D9/A1.aux-1",
        r"""
site/doors/D2.yaml:10:107: devices, Y1, tells: there is no door D9
    there are: D1, D2, D3
""",
    ),
    Case(
        "no setting",
        KIT,
        "exit: mask only",
        "exti: mask only",
        r"""
site/kits/store.yaml:7:47: devices, A1, set: inner-controller has no setting exti
    did you mean exit?
""",
    ),
    Case(
        "no choice",
        KIT,
        "exit: mask only",
        "exit: mask",
        r"""
site/kits/store.yaml:7:53: devices, A1, set, exit: mask is no choice of exit
    did you mean mask only?
""",
    ),
    Case(
        "no cable in stock",
        SITE,
        "cable-6x0.22",
        "cable-6x0.2",
        r"""
site/site.yaml:4:53: stock, signal: there is no data sheet cable-6x0.2
    did you mean cable-6x0.22?
""",
    ),
    Case(
        "no stock sheet of the kind",
        SITE,
        "calm: [diode-1a]",
        "calm: [motion]",
        r"""
site/site.yaml:4:145: stock, calm: motion is a sensor where a calmer is due
    name a data sheet that says is: calmer
""",
    ),
    Case(
        "label sheet that is wider than its paper",
        SITE,
        "house: {",
        "house: {labels: {rows: 9, columns: 4, across: 64 mm, down: 30 mm, left: 9 mm, top: 12 mm}, ",
        r"""
site/site.yaml:3:27: house, labels, columns: 4 columns reach to 265 mm, beyond A4 with 210 mm
    write fewer
""",
    ),
    Case(
        "labels that lie over one another",
        SITE,
        "house: {",
        "house: {labels: {rows: 9, columns: 3, across: 64 mm, down: 30 mm, left: 9 mm, top: 12 mm, tall: 32 mm}, ",
        r"""
site/site.yaml:3:91: house, labels, tall: labels of 32 mm lie over one another at 30 mm
    write 30 mm or less
""",
    ),
    Case(
        "label too small for lettering",
        SITE,
        "house: {",
        "house: {labels: {rows: 9, columns: 3, across: 64 mm, down: 4 mm, left: 9 mm, top: 12 mm}, ",
        r"""
site/site.yaml:3:54: house, labels, down: a label of 4 mm holds no lettering
    write 6 mm or more
""",
    ),
    Case(
        "label sheet without rows",
        SITE,
        "house: {",
        "house: {labels: {rows: 0, columns: 3, across: 64 mm, down: 30 mm, left: 9 mm, top: 12 mm}, ",
        r"""
site/site.yaml:3:18: house, labels, rows: a sheet of 0 rows has no label
    write 1 or more
""",
    ),
    Case(
        "no joint door",
        SITE,
        "[D1, D2]",
        "[D1, D7]",
        r"""
site/site.yaml:17:22: joint, pair, doors: there is no door D7
    doors: D1, D2, D3
""",
    ),
    Case(
        "port twice",
        D2,
        "N1.p-2",
        "N1.p-1",
        r"""
site/doors/D2.yaml:8:47: devices, A1, from: N1.p-1 is taken: A1 of D1 is plugged in there (site/doors/D1.yaml:5:14)
    one plug a jack: name another port
""",
    ),
    Case(
        "patch port twice",
        D1,
        "N1.p-1}",
        "N1.p-1, through: [PP1.p-3]}",
        r"""
site/doors/D2.yaml:8:65: devices, A1, through: PP1.p-3 is taken: A1 of D1 is plugged in there (site/doors/D1.yaml:5:32)
    one plug a jack: name another port
""",
    ),
    # places
    Case(
        "no place",
        D2,
        "{type: motion, at: inside",
        "{type: motion, at: insde",
        r"""
site/doors/D2.yaml:12:26: devices, S2, at: no run joins insde to the rest
    did you mean inside?
""",
    ),
    Case(
        "loop of runs",
        D2,
        "box: [closet-2, 20 m]",
        "box: [frame, 20 m]",
        r"""
site/doors/D2.yaml:5:8: runs, box: box hangs on frame, which hangs on box: the runs go round in a loop
    hang one of them on a place nearer the closet
""",
    ),
    Case(
        "no run joins",
        SITE,
        "runs: {closet-2: [closet-1, 30 m]}\n",
        "",
        r"""
site/doors/D2.yaml:5:14: runs, box: nothing is known of a place closet-2
    did you mean closet-1?
site/doors/D2.yaml:8:47: devices, A1, from: no run joins box, where A1 hangs, to closet-1, where N1 hangs
    add a run that joins closet-1 and closet-2, such as closet-2: [closet-1, 30 m]
site/doors/D3.yaml:5:15: runs, bank: nothing is known of a place closet-2
    did you mean closet-1?
site/doors/D3.yaml:10:21: devices, A1, from: no run joins bank, where A1 hangs, to closet-1, where N1 hangs
    add a run that joins closet-1 and closet-2, such as closet-2: [closet-1, 30 m]
""",
    ),
    Case(
        "no transfer",
        D2,
        "frame: [box, 3 m]",
        "frame: [box, 3 m, T1]",
        r"""
site/doors/D2.yaml:5:49: runs, frame: there is no device T1 to lead it across
    add it to devices
""",
    ),
    Case(
        "a transfer that is none",
        D2,
        "frame: [box, 3 m]",
        "frame: [box, 3 m, S1]",
        r"""
site/doors/D2.yaml:5:49: runs, frame: S1 is a button, not a power transfer
    name a transfer
""",
    ),
    Case(
        "exposed place",
        D2,
        "exposed: [outside]",
        "exposed: [outsde]",
        r"""
site/doors/D2.yaml:6:11: exposed: there is no place outsde
    did you mean outside?
""",
    ),
    Case(
        "a run twice",
        D2,
        "runs: {box",
        "runs: {closet-2: [closet-1, 3 m], box",
        r"""
site/doors/D2.yaml:5:8: runs, closet-2: the site has a run for closet-2 already
    take it out here
""",
    ),
    # data sheets
    Case(
        "group of no kind",
        LOCK,
        "kind: takes",
        "kind: tkaes",
        r"""
site/devices/try-lock.yaml:7:16: groups, coil, kind: tkaes is not one of the words allowed
    did you mean takes?; allowed: takes, gives, contact, changeover, pass, input, drive, line, jack, earth
""",
    ),
    Case(
        "key of another kind",
        LOCK,
        "range: 10.8..13.2 V",
        "pull-up: 2 kohm",
        r"""
site/devices/try-lock.yaml:7:73: groups, coil: a takes group has no key pull-up
    allowed: kind, plus, minus, poles, current, live, neutral, earth, either-way, range, load, peak, inrush, capacitance, esr, brown-out, fed-by, each-relay, charge, does
""",
    ),
    Case(
        "part without its volts",
        LOCK,
        "pulls-in: 10.2 V, ",
        "",
        r"""
site/devices/try-lock.yaml:9:5: inside, 1: pulls-in is missing in the coil part
    Volts at which it surely moves; such as pulls-in: 10.2 V
""",
    ),
    Case(
        "mark that is not there",
        LOCK,
        "minus: 2",
        "minus: 3",
        r"""
site/devices/try-lock.yaml:7:39: groups, coil, minus: there is no terminal 3
    its terminals: 1, 2
""",
    ),
    Case(
        "bad colour",
        LOCK,
        "2: BK",
        "2: BLACK",
        r"""
site/devices/try-lock.yaml:4:23: terminals, 2: BLACK is no colour of IEC 60757
    write BK, BN, RD, OG, YE, GN, BU, VT, GY, WH, PK, GD, TQ, SR; with a tracer WH-RD; for earth GN-YE
""",
    ),
    Case(
        "like itself",
        LOCK,
        "is: lock",
        "like: try-lock",
        r"""
site/devices/try-lock.yaml:2:7: like: try-lock and try-lock are each like the other
    one must stand alone
""",
    ),
    Case(
        "kit like a kit",
        KIT,
        "kit: store",
        "kit: store\nlike: store",
        r"""
site/kits/store.yaml:2:1: like: this key has no place here
    take it out
""",
    ),
    Case(
        "setting out of its band",
        KIT,
        "exit: mask only",
        "grant-time: 700 s",
        r"""
site/kits/store.yaml:7:59: devices, A1, set, grant-time: 700 s is no choice of grant-time
    allowed: 1..600 s
""",
    ),
    Case(
        "setting of another kind",
        KIT,
        "exit: mask only",
        "grant-time: 7 m",
        r"""
site/kits/store.yaml:7:59: devices, A1, set, grant-time: 7 m is no choice of grant-time
    allowed: 1..600 s
""",
    ),
    Case(
        "lock that says not what it does unpowered",
        LOCK,
        "unpowered: held\n",
        "",
        r"""
site/devices/try-lock.yaml:1:1: unpowered is missing in the data sheet of a lock
    What a lock or machine is without power: held, free, or stays as it was; such as unpowered: held
""",
    ),
    Case(
        "dc without a plus",
        LOCK,
        "plus: 1, minus: 2",
        "poles: [1, 2]",
        r"""
site/devices/try-lock.yaml:7:47: groups, coil: dc current without plus
    dc: plus and minus; ac: poles; mains: live and neutral
""",
    ),
    Case(
        "bank on one port",
        D3,
        "{type: latch-12, at: row, from: A1.out",
        "{type: inner-controller, at: row, from: N1.p-7",
        r"""
site/doors/D3.yaml:16:50: devices, Y2, from: N1.p-7 is taken: Y1 of D3 is plugged in there (site/doors/D3.yaml:16:50)
    one plug a jack: name another port
""",
    ),
    Case(
        "data sheet twice",
        "devices/again.yaml",
        "",
        "type: try-lock\nlike: motion\n",
        r"""
site/devices/try-lock.yaml:1:1: type: try-lock is described twice
    the first is in site/devices/again.yaml
""",
    ),
    Case(
        "no sheet to be like",
        LOCK,
        "is: lock",
        "like: try-lok",
        r"""
site/devices/try-lock.yaml:2:7: like: there is no data sheet try-lok
    did you mean try-lock?
""",
    ),
    Case(
        "lead twice",
        LOCK,
        "terminals: {1: RD, 2: BK}",
        "terminals: [1, 2, 2]",
        r"""
site/devices/try-lock.yaml:4:1: terminals: the mark 2 is there 2 times
    each terminal needs a mark of its own
""",
    ),
    Case(
        "no condition",
        LOCK,
        "groups:",
        "groups:\n  tell: {kind: contact, between: [1, 2], closed-when: [presed]}",
        r"""
site/devices/try-lock.yaml:7:56: groups, tell, closed-when: presed is no condition
    did you mean pressed?
""",
    ),
    Case(
        "rating without volts unit",
        LOCK,
        "groups:",
        "groups:\n  tell: {kind: contact, between: [1, 2], closed-when: [shut], rating: {dc-12: 3 A 30}}",
        r"""
site/devices/try-lock.yaml:7:79: groups, tell, rating, dc-12: 30 has no unit where a voltage is due
    write a voltage, such as 12 V ±5 %; units: V, mV, kV
""",
    ),
    Case(
        "diode rated in words",
        LOCK,
        "inside:\n",
        "inside:\n  - {diode: [2, 1], rating: strong}\n",
        r"""
site/devices/try-lock.yaml:9:29: inside, 1, rating: strong cannot be read
    write a current, then volts, such as 3 A 30 V
""",
    ),
    Case(
        "rc without its capacitor",
        LOCK,
        "inside:\n",
        "inside:\n  - {rc: [1, 2], resistance: 100 ohm}\n",
        r"""
site/devices/try-lock.yaml:9:5: inside, 1: capacitance is missing in the rc part
    Of its capacitor; such as capacitance: 220 nF
""",
    ),
    Case(
        "inductance in ohms",
        LOCK,
        "lets-go: 1.5 V",
        "inductance: 40 ohm, lets-go: 1.5 V",
        r"""
site/devices/try-lock.yaml:9:75: inside, 1, inductance: 40 ohm is a resistance where an inductance is due
    write an inductance, such as 300 mH; units: H, mH, uH, µH
""",
    ),
    Case(
        "reach in volts",
        LOCK,
        "groups:",
        "groups:\n  tell: {kind: line, protocol: wiegand, d0: 1, d1: 2, reach: 120 V}",
        r"""
site/devices/try-lock.yaml:7:62: groups, tell, reach: 120 V is a voltage where a length is due
    write a length, such as 62 m; units: m, mm, cm, km, ft, in
""",
    ),
    Case(
        "speed in words",
        LOCK,
        "groups:",
        "groups:\n  tell: {kind: line, protocol: rs-232, tx: 1, rx: 2, speed: fast}",
        r"""
site/devices/try-lock.yaml:7:61: groups, tell, speed: fast is no whole number
    write digits only, such as 12
""",
    ),
    Case(
        "approval without a date",
        D2,
        "exposed: [outside]",
        "exposed: [outside]\naccept: {battery: {reason: known, who: authority}}",
        r"""
site/doors/D2.yaml:7:35: accept, battery: who needs date beside it
    When, as year-month-day; such as date: 2026-11-12
""",
    ),
    Case(
        "step of nobody",
        D2,
        "exposed: [outside]",
        "exposed: [outside]\norder: {grant: [Y1, 300 ms, Y9]}",
        r"""
site/doors/D2.yaml:7:29: order, grant: there is no device Y9 in this door
    its devices: A1, U1, Y1, S1, S2, B1
""",
    ),
    Case(
        "door without an id",
        D1,
        "door: D1\n",
        "",
        r"""
site/doors/D1.yaml:1:1: the file has no door key
    begin it with door: and a name
""",
    ),
    Case(
        "mains where a device is due",
        D2,
        "tells: A1.door",
        "tells: mains",
        r"""
site/doors/D2.yaml:13:47: devices, B1, tells: mains stands only after from
    name a device
""",
    ),
    Case(
        "points at itself",
        D2,
        "tells: A1.door",
        "tells: B1",
        r"""
site/doors/D2.yaml:13:47: devices, B1, tells: B1 points at itself
    name another device
""",
    ),
    Case(
        "place of no door",
        D1,
        "like: store",
        "like: store\nruns: {box: [D8/box, 5 m]}",
        r"""
site/doors/D1.yaml:4:14: runs, box: there is no door D8
    doors: D1, D2, D3
""",
    ),
    Case(
        "calmer that is none",
        D2,
        "type: magnet-24, ",
        "type: magnet-24, calm: motion, ",
        r"""
site/doors/D2.yaml:10:31: devices, Y1, calm: motion is a sensor where a calmer is due
    name a data sheet that says is: calmer
""",
    ),
    Case(
        "cable along no place",
        D2,
        "exposed: [outside]",
        "exposed: [outside]\ncables: {W9: {along: [box, attic], for: [B1]}}",
        r"""
site/doors/D2.yaml:7:28: cables, W9, along: there is no place attic
    places: box, closet-2, frame, inside, outside
""",
    ),
    Case(
        "feed that is not built",
        D3,
        "from: {dc: G2.out}",
        "from: {dc: G2.outt}",
        r"""
site/doors/D3.yaml:11:79: devices, A1, from: G2 (supply-12-local) has no group outt
    did you mean out?
""",
    ),
    Case(
        "device of a feed without a type",
        D3,
        "{type: supply-12-local, at: bank, from: mains}",
        "{at: bank, from: mains}",
        r"""
site/doors/D3.yaml:11:15: devices, G2: type is missing in the device
    Its data sheet; such as type: strike-12
""",
    ),
    Case(
        "feeds and none picked",
        D3,
        "feed: port\n",
        "",
        r"""
site/doors/D3.yaml:8:1: feeds needs feed beside it
    The feed that is built; such as feed: port
""",
    ),
    Case(
        "margin in volts",
        SITE,
        "standby: 4 h",
        "standby: 4 h\nbattery: {margin: 1.25 V}",
        r"""
site/site.yaml:7:19: battery, margin: 1.25 V is a voltage where a share is due
    write a share, such as 86 %; units: %
""",
    ),
    Case(
        "battery key that is none",
        SITE,
        "standby: 4 h",
        "standby: 4 h\nbattery: {alrm: 30 min}",
        r"""
site/site.yaml:7:11: battery: a battery has no key alrm
    did you mean alarm?; allowed: alarm, margin, temperature
""",
    ),
    Case(
        "class that is none",
        LOCK,
        "groups:",
        "groups:\n  lan: {kind: jack, mark: J1, poe: in, poe-class: 9}",
        r"""
site/devices/try-lock.yaml:7:51: groups, lan, poe-class: 9 is no class of IEEE 802.3
    write 0 to 8, such as 4
""",
    ),
    Case(
        "more out than in",
        LOCK,
        "groups:",
        "groups:\n  out: {kind: gives, plus: 1, minus: 2, current: dc, volts: 12 V, efficiency: 120 %}",
        r"""
site/devices/try-lock.yaml:7:79: groups, out, efficiency: 120 % is no efficiency
    write more than 0 % and at most 100 %, such as 86 %
""",
    ),
    Case(
        "no volts",
        LOCK,
        "groups:",
        "groups:\n  out: {kind: gives, plus: 1, minus: 2, current: dc, volts: 0 V}",
        r"""
site/devices/try-lock.yaml:7:61: groups, out, volts: 0 V is nothing
    write a voltage, such as 12 V ±5 %
""",
    ),
    Case(
        "part without a kind",
        LOCK,
        "coil: [1, 2], resistance",
        "resistance",
        r"""
site/devices/try-lock.yaml:9:5: inside, 1: the part does not say what it is
    such as coil: [1, 2], with its terminals
""",
    ),
]
