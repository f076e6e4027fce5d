"""Door D121 of the demo: a bank of eleven cabinet latches behind two relay modules, a diode at each."""

from __future__ import annotations

from bench.by_hand.pen import Sheet, Wire

FIXED: tuple[Wire, ...] = (
    ("W1", "N2:11", "A1:J1", "BU", 0.6),
    ("A105a", "A1:R+", "U1:1", "RD", -0.9),
    ("A102a", "A1:R-", "U1:2", "BK", -1.2),
    ("A119a", "X1:s1", "U1:4", "WH", -0.5),
    ("A120a", "X1:s2", "U1:3", "GN", -0.8),
    ("A119b", "A1:A", "X1:s1", "WH", 1.2),
    ("A120b", "A1:B", "X1:s2", "WH", 1.5),
    ("A119c", "K1:A", "X1:s1", "WH", -1.8),
    ("A120c", "K1:B", "X1:s2", "WH", -2.1),
    ("A102b", "A1:0V", "X1:s3", "BK", 2.4),
    ("A103a", "A1:12V", "X1:s4", "RD", 2.7),
    ("A103b", "K1:+", "X1:s4", "RD", -1.0),
    ("A102c", "K1:-", "X1:s3", "BK", -1.3),
    ("A103c", "K2:+", "X1:s4", "RD", -1.0),
    ("A102d", "K2:-", "X1:s3", "BK", -1.3),
    ("A125a", "A1:Q1", "K2:I1", "WH", 3.0),
    ("A126a", "A1:Q2", "K2:I2", "WH", 3.3),
    ("A127a", "A1:Q3", "K2:I3", "WH", 3.6),
)
LATCHES = 11
OF_K1 = 8  # the first latches hang on K1, the others on K2


LETTERS = "abcdefghijkmnpqrstuvwxyz"  # without l and o


def letter(number: int) -> str:
    return LETTERS[number] if number < len(LETTERS) else f"a{LETTERS[number - len(LETTERS)]}"


def latch(number: int) -> tuple[Wire, ...]:
    """What belongs to one latch: its two cores, its diode's two leads, and the plus to its relay."""
    nth = number - 1
    if number <= OF_K1:
        module, contact = "K1", number
        fed = "K1:+" if number == 1 else f"K1:C{number - 1}"
        feed = (f"A103{letter(3 + nth)}", fed, f"K1:C{number}", "RD", -0.4)
    else:
        module, contact = "K2", number - OF_K1
        feed = (f"A103{letter(3 + nth)}", f"K2:C{contact}", "X1:s4", "RD", -0.7)
    switched = f"{module}{5 + 3 * contact:02d}"
    return (
        (f"{switched}a", f"{module}:NO{contact}", f"Y{number}:a", "RD", 0.8 + 0.12 * nth),
        (f"A102{letter(4 + 2 * nth)}", "X1:s3", f"Y{number}:b", "BK", 9.2),
        feed,
        (f"A102{letter(5 + 2 * nth)}", f"R{number}:A", f"Y{number}:b", "bare", -0.5),
        (f"{switched}b", f"R{number}:K", f"Y{number}:a", "bare", -0.8),
    )


WIRES = FIXED + tuple(wire for number in range(1, LATCHES + 1) for wire in latch(number))


def draw() -> None:
    sheet = Sheet("D121 Specimen cabinets")
    sheet.box("N2", "switch, closet-2", (-6, 20), (), ("11",))
    sheet.box("U1", "reader, outside", (-8, 8), (), ("1", "2", "4", "3"))
    sheet.box("A1", "controller, bank", (0, 12), ("J1", "R+", "R-"), ("A", "B", "0V", "12V", "Q1", "Q2", "Q3"), width=4)
    for ref, at in (("X1:s1", (3, 9)), ("X1:s2", (3, 8)), ("X1:s3", (3, 6)), ("X1:s4", (3, 5))):
        sheet.joint(ref, at)
    relays = tuple(f"C{n}" for n in range(1, OF_K1 + 1))
    outputs = tuple(f"NO{n}" for n in range(1, OF_K1 + 1))
    sheet.box("K1", "eight relays, bank", (10, 10), ("A", "B", "+", "-", *relays), outputs, width=4)
    inputs = ("I1", "I2", "I3", "+", "-", "C1", "C2", "C3")
    sheet.box("K2", "four relays, bank", (10, 2), inputs, ("NO1", "NO2", "NO3"), width=4)
    for number in range(1, LATCHES + 1):
        y = 22 - 2.4 * number
        sheet.box(f"Y{number}", "latch, row", (20, y), ("a", "b"), ())
        sheet.box(f"R{number}", "diode, row", (26, y), ("K", "A"), ())
    sheet.wires(WIRES)
    sheet.finish()


if __name__ == "__main__":
    draw()
