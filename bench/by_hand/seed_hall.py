"""Door D104 of the demo: magnet, motion sensor, button, reader; port through a patch panel."""

from __future__ import annotations

from bench.by_hand.pen import Sheet, Wire

WIRES: tuple[Wire, ...] = (
    ("W1", "N1:5", "PP1:front 12", "BU", 0.6),
    ("W2", "PP1:back 12", "A1:J1", "BU", 0.9),
    ("A105a", "A1:R+", "U1:1", "RD", -1.0),
    ("A102a", "A1:R-", "U1:2", "BK", -1.3),
    ("A119a", "A1:A", "U1:4", "WH", -1.6),
    ("A120a", "A1:B", "U1:3", "GN", -1.9),
    ("FB105a", "FB1:F2+", "X1:s3", "RD", 1.2),
    ("FB102a", "FB1:F2-", "X1:s2", "BK", 1.5),
    ("A109a", "A1:NO", "Y1:+", "RD", 1.0),
    ("FB102b", "X1:s2", "Y1:-", "BK", 5.4),
    ("A116a", "A1:AUX1", "Y1:NO", "YE", 2.2),
    ("A102b", "A1:0V3", "Y1:C", "BK", 2.5),
    ("FB105b", "X1:s3", "S1:1", "RD", 5.7),
    ("S102b", "S1:2", "X1:s1", "WH", -1.2),
    ("S102a", "X1:s1", "S2:3", "RD", 6.0),
    ("S204a", "S2:4", "A1:COM", "WH", -1.8),
    ("A103a", "A1:12V", "S2:1", "RD", 3.1),
    ("A102c", "A1:0V", "S2:2", "BK", 3.4),
    ("A115a", "A1:EXIT", "S2:5", "YE", 3.7),
    ("A102d", "X1:s4", "S2:6", "GN", 2.4),
    ("A113a", "A1:DOOR", "B1:1", "YE", 4.0),
    ("A102e", "X1:s4", "B1:2", "BK", 2.7),
    ("A102f", "A1:0V2", "X1:s4", "BK", 0.7),
)


def draw() -> None:
    sheet = Sheet("D104 Seed hall")
    sheet.box("N1", "switch, closet-1", (0, 12), (), ("5",))
    sheet.box("PP1", "patch panel, closet-1", (5, 12), ("front 12",), ("back 12",))
    sheet.box("FB1", "fuses, closet-1", (0, -1), (), ("F2+", "F2-"))
    sheet.box("U1", "reader, outside", (-2, 5), (), ("1", "2", "4", "3"))
    left = ("J1", "R+", "R-", "A", "B")
    right = ("NO", "COM", "AUX1", "0V3", "12V", "0V", "EXIT", "DOOR", "0V2")
    sheet.box("A1", "controller, box", (6, 3), left, right, width=4)
    for ref, at in (("X1:s1", (7, 1.5)), ("X1:s2", (7, -0.5)), ("X1:s3", (7, 0.5)), ("X1:s4", (12, 3))):
        sheet.joint(ref, at)
    sheet.box("Y1", "magnet, frame", (18, 9), ("+", "-", "NO", "C"), ())
    sheet.box("S2", "motion sensor, frame", (18, 2.5), ("3", "4", "1", "2", "5", "6"), ())
    sheet.box("B1", "door contact, frame", (18, 0), ("1", "2"), ())
    sheet.box("S1", "exit button, inside", (18, -3), ("1", "2"), ())
    sheet.wires(WIRES)
    sheet.finish()


if __name__ == "__main__":
    draw()
