"""A network as a deck for ngspice, many operating points in one run, and what ngspice finds.

Everything that bends is linear in its mode (a source within its limit or at it, a load above its least volts or below), since a
limit written as `min` fails from a cold start; each state alters the parts whose mode it changes.  The modes come from the
solution that is checked, and `misfits` says where ngspice's own volts do not bear them out.  Diodes are ngspice's own.  Every
galvanic island hangs on node 0 by 1 ohm, which carries no current.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wiregen.study.elements import Contact, Converter, Diode, Load, Resistor, Source, Varistor, pairs
from wiregen.study.laws import LEAK
from wiregen.study.network import Network
from wiregen.study.solution import OPEN, Solution

PROGRAM = shutil.which("ngspice")
Values = dict[str, float]  # part → what it is altered to

OPTIONS = ".options temp=26.85 tnom=26.85 gmin={gmin} reltol={reltol} abstol={abstol} vntol=1e-10 itl1=1000"
TIGHT = {"gmin": 1e-15, "reltol": 1e-10, "abstol": 1e-15}
LOOSER = {"gmin": 1e-12, "reltol": 1e-8, "abstol": 1e-13}  # for what does not settle within TIGHT


@dataclass(frozen=True)
class Deck:
    """The netlist at the first state, and what each state alters in it."""

    network: Network
    lines: tuple[str, ...]
    states: tuple[Values, ...]

    def text(self, options: Mapping[str, float] = TIGHT, points: int | None = None, prints: int | None = None) -> str:
        """The deck with its first `points` states (None: all) as operating points, and what it prints: all potentials, or
        those of the first `prints` nodes.  It frees its results after each point."""
        control = [".control", "set numdgt=15"]
        asked = " ".join(f"v({n + 1})" for n in range(prints or len(self.network.index)))
        now = self.states[0]
        lines = [line.format(**{name: f"{value:.17g}" for name, value in now.items()}) for line in self.lines]
        for state in self.states[:points]:
            control += [f"alter {name} = {value:.17g}" for name, value in state.items() if now[name] != value]
            control += ["op", f"print {asked}", "destroy all"]
            now = state
        body = [*lines, OPTIONS.format(**options), *control, "quit 0", ".endc", ".end", ""]
        return "\n".join(["* operating points of a door", *body])


def deck_of(solution: Solution, nodeset: bool = True) -> Deck:
    """The deck of all states of a solution; `nodeset` gives ngspice the volts of its first state to begin from."""
    network = solution.network
    at = {node: n + 1 for node, n in network.index.items()}
    lines: list[str] = []
    states: list[Values] = [{} for _ in solution.states]

    def vary(name: str, values: Sequence[float] | NDArray[np.float64]) -> str:
        for state, value in zip(states, values, strict=True):
            state[name] = float(value)
        return f"{{{name}}}"

    for k, island in enumerate(sorted(set(network.island))):
        lines.append(f"rtie{k} {island + 1} 0 1")
    for k, element in enumerate(network.elements.values()):
        ends = [f"{at[a]} {at[b]}" for a, b in pairs(element)]
        volts = [solution.across(a, b) for a, b in pairs(element)]
        match element:
            case Resistor():
                lines.append(f"r{k} {ends[0]} {element.ohms:.17g}")
            case Contact():
                ohms = np.where(solution.closed(element.name), element.ohms, 1 / OPEN)
                lines.append(f"rk{k} {ends[0]} {vary(f'rk{k}', ohms)}")
            case Source():
                _norton(lines, vary, k, element, ends[0], solution.current(element.name))
            case Load():
                runs = volts[0] >= element.least
                lines.append(f"rl{k} {ends[0]} {1 / LEAK:.17g}")
                siemens = (element.amps or element.watts / element.least) / element.least
                lines.append(f"rb{k} {ends[0]} {vary(f'rb{k}', np.where(runs | (siemens == 0), 1e15, 1 / (siemens or 1)))}")
                if element.watts:
                    lines.append(f"vc{k} c{k} 0 {vary(f'vc{k}', np.where(runs, element.watts, 0.0))}")
                    lines.append(f"b{k} {ends[0]} i=v(c{k})/max(v({ends[0].replace(' ', ',')}),{element.least / 2})")
                else:
                    lines.append(f"i{k} {ends[0]} {vary(f'i{k}', np.where(runs, element.amps, 0.0))}")
            case Diode():
                lines.append(f"rl{k} {ends[0]} {1 / LEAK:.17g}")
                lines.append(f".model d{k} D(is={element.saturation:.17g} n={element.emission:.17g})")
                lines.append(f"d{k} {ends[0]} d{k}")
            case Varistor():
                v = f"v({ends[0].replace(' ', ',')})"
                lines.append(f"rl{k} {ends[0]} {1 / LEAK:.17g}")
                lines.append(f"b{k} {ends[0]} i=1e-3*sgn({v})*pow(abs({v})/{element.clamps:.17g},{element.exponent:.17g})")
            case Converter():
                _norton(lines, vary, k, element, ends[1], solution.current(element.name))
                runs = volts[0] >= element.least
                given = solution.current(element.name)
                limited = given >= (np.inf if element.limit is None else element.limit * (1 - 1e-9))
                into, out = (f"v({end.replace(' ', ',')})" for end in ends)
                # what it gives: amperes less volts over ohms, as its output is altered; nothing where it is driven backwards
                gives = given * volts[1] > 0
                feeds = np.where(limited, element.limit or 0.0, element.volts / element.ohms)
                lines.append(f"vi{k} ci{k} 0 {vary(f'vi{k}', np.where(gives, feeds, 0.0) / element.efficiency)}")
                siemens_ = np.where(limited | ~gives, 0.0, 1 / element.ohms / element.efficiency)
                lines.append(f"vg{k} cg{k} 0 {vary(f'vg{k}', siemens_)}")
                lines.append(f"vm{k} cm{k} 0 {vary(f'vm{k}', np.where(runs, 1.0, 0.0))}")
                watts = f"({element.own:.17g}+{out}*(v(ci{k})-{out}*v(cg{k})))"
                by = f"(v(cm{k})/max({into},{element.least / 2})+(1-v(cm{k}))*{into}/{element.least**2:.17g})"
                lines.append(f"rl{k} {ends[0]} {1 / LEAK:.17g}")
                lines.append(f"b{k} {ends[0]} i={watts}*{by}")
    if nodeset:
        lines += [f".nodeset v({n + 1})={v:.6g}" for n, v in enumerate(solution.potentials[0])]
    return Deck(network, tuple(lines), tuple(states))


def _norton(lines: list[str], vary: object, k: int, source: Source | Converter, ends: str, amps: NDArray[np.float64]) -> None:
    """A source as amperes beside ohms: its own within its limit, its limit beside nothing at it."""
    assert callable(vary)
    limited = amps >= (np.inf if source.limit is None else source.limit * (1 - 1e-9))
    plus, minus = ends.split()
    lines.append(f"rs{k} {ends} {vary(f'rs{k}', np.where(limited, 1e15, source.ohms))}")
    amperes = np.where(limited, source.limit or 0.0, source.volts / source.ohms)
    lines.append(f"is{k} {minus} {plus} {vary(f'is{k}', amperes)}")


def run(text: str, folder: Path) -> str:
    """What ngspice prints for a deck.  Raises RuntimeError with its words where it fails."""
    file = folder / "deck.cir"
    file.write_text(text)
    assert PROGRAM is not None
    done = subprocess.run([PROGRAM, "-b", str(file)], capture_output=True, text=True, check=False)
    if "No. of Data Rows" not in done.stdout or "-nan" in done.stdout or "failed" in done.stderr:
        raise RuntimeError(done.stderr + done.stdout[-2000:])
    return done.stdout


def volts_in(printed: str, nodes: int) -> NDArray[np.float64]:
    """Potentials (points, nodes) out of what ngspice printed."""
    found = [float(line.split("=")[1]) for line in printed.splitlines() if line.startswith("v(")]
    return np.array(found).reshape(-1, nodes)


def misfits(solution: Solution, volts: NDArray[np.float64]) -> list[str]:
    """Parts whose mode ngspice's own volts (states, nodes) do not bear out."""
    index = solution.network.index
    found = []
    for name, element in solution.network.elements.items():
        across = [volts[:, index[a]] - volts[:, index[b]] for a, b in pairs(element)]
        ours = [solution.across(a, b) for a, b in pairs(element)]
        if isinstance(element, Load | Converter) and ((across[0] >= element.least) != (ours[0] >= element.least)).any():
            found.append(f"{name}: above its least volts")
        if isinstance(element, Source | Converter) and element.limit is not None:
            over = (element.volts - across[-1]) / element.ohms >= element.limit * (1 - 1e-9)
            if (over != (solution.current(name) >= element.limit * (1 - 1e-9))).any():
                found.append(f"{name}: at its limit")
    return found


def compared(solution: Solution, volts: NDArray[np.float64], most: float = 1e5) -> NDArray[np.float64]:
    """Difference (states, nodes) over max(|V|, 1 V), each node against the first of its island; 0 where more than `most` ohms
    hold it: what floats is named, not compared."""
    island = solution.network.island
    names = list(solution.network.index)
    held = [solution.thevenin(name, names[island[n]]) < most for n, name in enumerate(names)]
    ours, other = (v - v[:, island] for v in (solution.potentials, volts))
    return np.abs(ours - other) / np.maximum(np.abs(ours), 1.0) * np.array(held).T


def points(solution: Solution, folder: Path) -> NDArray[np.float64]:
    """Potentials (states, nodes) as ngspice finds them; where the whole deck does not settle, state by state from each one's
    own volts, and with looser options where even that does not."""
    nodes = len(solution.network.index)
    with suppress(RuntimeError):
        return volts_in(run(deck_of(solution).text(), folder), nodes)
    rows = []
    for state in solution.states:
        deck = deck_of(solution.network.solve([state]))
        try:
            printed = run(deck.text(), folder)
        except RuntimeError:
            printed = run(deck.text(options=LOOSER), folder)
        rows.append(volts_in(printed, nodes))
    return np.concatenate(rows)
