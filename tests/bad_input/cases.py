"""Bad inputs and what is promised for each: `file`, an edit of it (or its whole content), and the message, word for word."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Case:
    """One edit to the good site: in `file`, `old` becomes `new` (or the file is `new`, where `old` is empty)."""

    name: str
    file: str
    old: str
    new: str | bytes
    says: str = ""  # the promised message, file paths from the site's folder


D1, D2, D3, KIT, SITE, LOCK = "doors/D1.yaml", "doors/D2.yaml", "doors/D3.yaml", "kits/store.yaml", "site.yaml", "devices/try-lock.yaml"

CASES = [
    # the file itself
    Case("tab", D1, "  A1: {from", "\tA1: {from"),
    Case("syntax", D1, "{from: N1.p-1}", "{from: N1.p-1"),
    Case("not utf-8", D1, "", b"door: D1\nname: Ofenhalle \xe4\n"),
    Case("control character", D1, "Glaze store", b"Glaze \x07store"),
    Case("too large", D1, "", b"# " + b"x" * 1_000_001),
    Case("too deep", D1, "", "door: D1\nname: " + "[" * 40 + "]" * 40 + "\n"),
    Case("empty file", D1, "", "# nothing\n"),
    Case("a list", D1, "", "- door: D1\n"),
    Case("two documents", D1, "like: store", "like: store\n---\ndoor: D9"),
    Case("alias bomb", D1, "Glaze store", "&a [x, x]\nnotes: [*a, *a, *a]"),
    Case("tag", D1, "Glaze store", "!!python/object/apply:os.system [ls]"),
    Case("key twice", D1, "like: store", "like: store\nname: Other"),
    Case("no value", D1, "like: store", "like:"),
    Case("comma in a value", D2, "{height: 1100 mm}", "{gap: 0..15 mm, 0..8 on steel}"),
    Case("comma in a reason", D3, '{none: "a locker of 400 mm, nobody fits in"}', "{none: a locker of 400 mm, nobody fits in}"),
    Case("line end", D1, "Glaze store", '"Glaze\\nstore"'),
    Case("right to left", D1, "Glaze store", '"Glaze \\u202Eerots"'),
    Case("missing glyph", D1, "Glaze store", "Glaze 窯 store"),
    # names
    Case("id leaves the folder", D1, "door: D1", "door: ../D1"),
    Case("id is absolute", D1, "door: D1", "door: /etc/D1"),
    Case("id is empty", D1, "door: D1", 'door: ""'),
    Case("id is a device of the file system", D1, "door: D1", "door: NUL"),
    Case("id twice", D2, "door: D2", "door: d1"),
    Case("bad designation", D1, "  A1: {from", "  front reader: {from"),
    Case("bank that counts otherwise", D3, "K1.c-1..3", "K1.c-1..4"),
    Case("bank backwards", D3, "  Y1..3: {type", "  Y3..1: {type"),
    # keys
    Case("unknown key", D2, "tells: {bond", "tels: {bond"),
    Case("unknown door key", D2, "exposed: [", "exposd: ["),
    Case("missing key", D2, "name: Kiln hall\n", ""),
    Case("missing through the kit", KIT, "leave-by: handle\n", ""),
    Case("missing type", D2, "{type: motion, at", "{at"),
    Case("not one of the words", D2, "idle: held", "idle: closed"),
    Case("way out", D2, "[sensor, button]", "[sensor, botton]"),
    Case("a text for a list", D2, "exposed: [outside]", "exposed: outside"),
    Case("run without length", D2, "frame: [box, 3 m]", "frame: [box]"),
    Case("bad date", D1, "like: store", "like: store\nrevisions: [{rev: A, date: 2026-02-30, what: first}]"),
    # quantities
    Case("no unit", D2, "[box, 3 m]", "[box, 3]"),
    Case("a temperature for a length", D2, "[box, 3 m]", "[box, 25 °C]"),
    Case("not a number", D2, "[box, 3 m]", "[box, nan m]"),
    Case("not finite", D2, "[box, 3 m]", "[box, 1e999 m]"),
    Case("negative", D2, "[box, 3 m]", "[box, -3 m]"),
    Case("decimal comma", D2, "[box, 3 m]", '[box, "3,5 m"]'),
    Case("unknown unit", D2, "[box, 3 m]", "[box, 3 furlong]"),
    Case("band backwards", LOCK, "10.8..13.2 V", "13.2..10.8 V"),
    # references
    Case("no data sheet", D2, "type: motion", "type: motoin"),
    Case("a cable for a device", D2, "type: motion", "type: cable-2x1.0"),
    Case("no device", D2, "S2.chain", "S3.chain"),
    Case("no group", D2, "A1.aux-1", "A1.aux-9"),
    Case("no supply output", D2, "FB1.f-2", "FB1.f-12"),
    Case("no switch port", D2, "N1.p-2", "N1.p-20"),
    Case("no own group", D2, "{bond: A1.aux-1}", "{bnod: A1.aux-1}"),
    Case("no side", D2, "S2.chain", "S2.chain.make"),
    Case("no terminal", D2, "exposed: [outside]", 'exposed: [outside]\nconductors: {add: [{from: "A1:NX", to: "A1:NC", why: trial}]}'),
    Case("no kit", D1, "like: store", "like: stoer"),
    Case("no feed", D3, "feed: port", "feed: prot"),
    Case("no door", D2, "A1.aux-1", "D9/A1.aux-1"),
    Case("no setting", KIT, "exit: mask only", "exti: mask only"),
    Case("no choice", KIT, "exit: mask only", "exit: mask"),
    Case("no cable in stock", SITE, "cable-6x0.22", "cable-6x0.2"),
    Case("no stock sheet of the kind", SITE, "calm: [diode-1a]", "calm: [motion]"),
    Case("no joint door", SITE, "[D1, D2]", "[D1, D7]"),
    Case("port twice", D2, "N1.p-2", "N1.p-1"),
    Case("patch port twice", D1, "N1.p-1}", "N1.p-1, through: [PP1.p-3]}"),
    # places
    Case("no place", D2, "{type: motion, at: inside", "{type: motion, at: insde"),
    Case("loop of runs", D2, "box: [closet-2, 20 m]", "box: [frame, 20 m]"),
    Case("no run joins", SITE, "runs: {closet-2: [closet-1, 30 m]}\n", ""),
    Case("no transfer", D2, "frame: [box, 3 m]", "frame: [box, 3 m, T1]"),
    Case("a transfer that is none", D2, "frame: [box, 3 m]", "frame: [box, 3 m, S1]"),
    Case("exposed place", D2, "exposed: [outside]", "exposed: [outsde]"),
    Case("a run twice", D2, "runs: {box", "runs: {closet-2: [closet-1, 3 m], box"),
    # data sheets
    Case("group of no kind", LOCK, "kind: takes", "kind: tkaes"),
    Case("key of another kind", LOCK, "range: 10.8..13.2 V", "pull-up: 2 kohm"),
    Case("part without its volts", LOCK, "pulls-in: 10.2 V, ", ""),
    Case("mark that is not there", LOCK, "minus: 2", "minus: 3"),
    Case("bad colour", LOCK, "2: BK", "2: BLACK"),
    Case("like itself", LOCK, "is: lock", "like: try-lock"),
]
