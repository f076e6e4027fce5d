"""Random networks of all kinds of elements, shaped like doors: a supply or two, runs of wire, contacts, loads, clamps.

`make` gives the elements and a handful of states.  Values are rounded as in data sheets; same seed, same network.
"""

from __future__ import annotations

import random

from wiregen.study.elements import Contact, Converter, Diode, Element, Load, Node, Resistor, Source, Varistor

State = dict[str, bool]


def make(seed: int) -> tuple[list[Element], list[State]]:
    r = random.Random(seed)
    found: list[Element] = []
    rails: list[tuple[Node, Node, float]] = []  # where something may be hung: plus, minus, nominal volts

    def name(kind: str) -> str:
        return f"{kind}{len(found)}"

    def node() -> str:
        return f"n{len(found)}"

    def run(start: Node) -> Node:
        """A wire, now and then with a contact in it or a long one."""
        end = node()
        found.append(Resistor(name("R"), start, end, round(r.choice([0.02, 0.2, 1.0, 3.0]) * r.uniform(0.5, 2), 4)))
        if r.random() < 0.3:
            start, end = end, node()
            found.append(Contact(name("K"), start, end, r.random() < 0.7, r.choice([0.01, 0.1])))
        return end

    for n in range(r.choice([1, 1, 2, 3])):
        volts = r.choice([12.0, 24.0, 48.0, 54.0])
        limit = r.choice([None, 0.35, 1.0, 2.0, 5.0])
        found.append(Source(name("V"), f"p{n}", f"m{n}", volts, r.choice([0.01, 0.1, 0.5, 12.5]), limit))
        rails.append((f"p{n}", f"m{n}", volts))
    if len(rails) > 1 and r.random() < 0.6:  # a common 0 V
        found.append(Resistor(name("R"), "m0", "m1", 0.05))
    for _ in range(r.randint(3, 9)):
        plus, minus, volts = r.choice(rails)
        plus, minus = run(plus), run(minus)
        match r.choice(["coil", "coil", "amps", "watts", "converter", "input", "varistor", "resistor", "tap", "or"]):
            case "coil":
                found.append(Resistor(name("L"), plus, minus, round(volts / r.uniform(0.1, 1.0), 2)))
                if r.random() < 0.7:
                    found.append(Diode(name("D"), minus, plus))
            case "amps":
                found.append(Load(name("I"), plus, minus, round(volts * 0.7, 2), amps=round(r.uniform(0.02, 0.6), 3)))
            case "watts":
                found.append(Load(name("P"), plus, minus, round(volts * 0.7, 2), watts=round(r.uniform(0.5, 12), 2)))
            case "converter":
                out = (f"{node()}+", minus if r.random() < 0.5 else f"{node()}-")
                given = r.choice([5.0, 12.0, 24.0])
                found.append(Converter(
                    name("A"), plus, minus, *out, given, r.choice([0.02, 0.2]), round(r.uniform(0.75, 0.95), 2),
                    round(volts * 0.7, 2), round(r.uniform(0.1, 3), 2), r.choice([None, 0.5, 1.5]),
                ))
                rails.append((*out, given))
            case "input":
                found.append(Source(name("U"), plus, minus, r.choice([3.3, 5.0, 12.0]), r.choice([1000.0, 4700.0])))
                rails.append((plus, minus, volts))
            case "varistor":
                found.append(Varistor(name("Z"), plus, minus, round(volts * r.uniform(0.9, 2.0), 1)))
            case "resistor":
                found.append(Resistor(name("R"), plus, minus, r.choice([1000.0, 2200.0, 47000.0])))
            case "tap":
                rails.append((plus, minus, volts))
            case "or":  # a diode in line, as where two supplies feed one rail
                end = node()
                found.append(Diode(name("D"), plus, end))
                found.append(Resistor(name("R"), end, minus, round(volts / r.uniform(0.1, 0.8), 2)))
    contacts = [e.name for e in found if isinstance(e, Contact)]
    states: list[State] = [{}, *({k: r.random() < 0.5 for k in contacts} for _ in range(3))]
    return found, states
