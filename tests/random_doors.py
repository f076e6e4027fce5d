"""Random valid doors in the spec language, as YAML text: from a seed for sweeps, from Hypothesis for tests that shrink.

One generator serves both: it asks a chooser.  A site is a handful of doors with its own invented data sheets; every shared
output, port and fire contact is given out once.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st

from tests.random_sheets import MAKERS, Any_, Choose, Sheet
from tests.random_stock import EARTH, FIRE, PATCH, STOCK, STOCK_SHEETS, SUPPLY, SWITCH

Files = dict[str, str]  # path inside the folder -> text


class Seeded:
    """A chooser over a seeded generator."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def number(self, least: int, most: int) -> int:
        return self._random.randint(least, most)

    def one(self, options: list[Any_]) -> Any_:
        return options[self._random.randrange(len(options))]

    def chance(self, percent: int) -> bool:
        return self._random.randrange(100) < percent

    def shuffled(self, items: list[Any_]) -> list[Any_]:
        return self._random.sample(items, len(items))


class Drawn:
    """A chooser over Hypothesis; shrinks towards the first option and towards nothing extra."""

    def __init__(self, draw: st.DrawFn) -> None:
        self._draw = draw

    def number(self, least: int, most: int) -> int:
        return self._draw(st.integers(least, most))

    def one(self, options: list[Any_]) -> Any_:
        return options[self._draw(st.integers(0, len(options) - 1))]

    def chance(self, percent: int) -> bool:
        return self._draw(st.integers(0, 99)) >= 100 - percent

    def shuffled(self, items: list[Any_]) -> list[Any_]:
        return self._draw(st.permutations(items))


@dataclass
class SiteDraft:
    """What the doors of a site share, and what of it is given out already."""

    choose: Choose
    sheets: dict[str, Sheet] = field(default_factory=dict)
    shared: dict[str, Sheet] = field(default_factory=dict)
    given: dict[str, int] = field(default_factory=dict)

    def kind(self, maker: str) -> str:
        """A type made by that maker: one of up to three sheets a site."""
        name = f"{maker}-{'abc'[self.choose.number(0, 2)]}"
        if name not in self.sheets:
            self.sheets[name] = MAKERS[maker](self.choose, name)
        return name

    def _next(self, letter: str, type_: str, group: str, size: int, body: Sheet) -> str:
        count = self.given.get(letter, 0)
        self.given[letter] = count + 1
        ref = f"{letter}{count // size + 1}"
        self.shared.setdefault(ref, {"type": type_, "at": "closet", **body})
        return f"{ref}.{group}-{count % size + 1}"

    def port(self) -> str:
        return self._next("N", "switch", "p", 48, {"from": "mains"})

    def patch(self) -> str:
        return self._next("PP", "patch", "p", 48, {})

    def branch(self) -> str:
        return self._next("FB", "supply", "f", 24, {"from": "mains"})

    def fire(self) -> str:
        return self._next("FA", "fire", "c", 32, {"by": "fire contractor"})

    def earth(self) -> str:
        return self._next("E", "earth", "e", 48, {})

    def two_door(self) -> tuple[str, int]:
        """A side of a controller for two doors, fed and linked in the closet."""
        count = self.given.get("A", 0)
        self.given["A"] = count + 1
        ref = f"A{90 + count // 2}"
        if ref not in self.shared:
            self.shared[ref] = {
                "type": self.kind("two-door"),
                "at": "closet",
                "from": {"dc": self.branch()},
                "speaks": self.port(),
            }
        return ref, count % 2 + 1


class DoorDraft:
    """One door in the making."""

    def __init__(self, site: SiteDraft, id_: str, size: int) -> None:
        self.site, self.choose, self.id, self.size = site, site.choose, id_, size
        self.devices: dict[str, Sheet] = {}
        self.want: dict[str, str] = {}
        self.more: Sheet = {}
        self.counts: dict[str, int] = {}
        self.runs: dict[str, Any] = {}
        self.inputs: list[str] = []
        self.drives: list[str] = []
        self.levels: list[str] = []
        self.power = ""  # where small things get their power
        self.relay = ""

    def add(self, letter: str, maker: str, at: str, **body: Any) -> str:
        self.counts[letter] = number = self.counts.get(letter, 0) + 1
        ref = f"{letter}{number}"
        self.devices[ref] = {"type": self.site.kind(maker), "at": at, **body}
        return ref

    def groups(self, ref: str) -> Sheet:
        return self.site.sheets[self.devices[ref]["type"]]["groups"]  # type: ignore[no-any-return]

    def length(self) -> str:
        return f"{'about ' if self.choose.chance(15) else ''}{self.choose.number(1, 60)} m"

    # ---- the parts of a door, in the order in which they are settled --------------------------------------------

    def make(self) -> Sheet:
        self._places()
        self._controller()
        self._reader()
        self._lock()
        self._watch()
        for _ in range(self.choose.number(self.size // 2, self.size)):
            self.choose.one(
                [self._sounder, self._machine, self._module, self._loop, self._lone_relay, self._watch, self._second_outside]
            )()
        if len(self.exposed) > 1 and self.choose.chance(60):
            self._second_outside()
        self._by_hand()
        door = {"door": self.id, "name": f"Random {self.id}", "leave-by": self.leave_by, "want": self.want, "runs": self.runs,
                "exposed": self.exposed, "devices": self.devices, **self.more}  # fmt: skip
        return door

    def _places(self) -> None:
        choose = self.choose
        self.runs = {"box": ["closet", self.length()], "frame": ["box", self.length()], "inside": ["box", self.length()],
                     "outside": ["box", self.length()]}  # fmt: skip
        self.exposed = ["outside"]
        self.leaf = "frame"
        if choose.chance(35):
            self.devices["T1"] = {"type": self.site.kind("hinge")}
            self.runs["leaf"] = ["frame", "1.2 m", "T1"]
            self.leaf = "leaf"
        if choose.chance(30):  # a second box, a branch further out
            self.runs |= {"box-2": ["box", self.length()], "far": ["box-2", self.length()], "post": ["box-2", self.length()]}
            if choose.chance(60):
                self.exposed.append("post")

    def _inside(self) -> str:
        return self.choose.one([p for p in ("inside", "far", "frame", "box") if p in self.runs])

    def _outside(self) -> str:
        return self.choose.one(self.exposed)

    def _controller(self) -> None:
        choose, site = self.choose, self.site
        way = choose.one(["inside", "inside", "inside", "outside", "shared"])
        if way == "shared":
            ref, side = site.two_door()
            self.a1, self.power, self.relay, self.board = ref, f"{ref}.acc", f"{ref}.relay-{side}", False
            self.inputs = [f"{ref}.door-{side}", f"{ref}.exit-{side}"]
            self.drives, self.side = [f"{ref}.led-{side}"], side
            return
        self.side = 0
        at = "outside" if way == "outside" else "box"
        a1 = self.a1 = self.add("A", "controller", at)
        self.inputs = [f"{a1}.aux-{n}" for n in range(1, 5)]
        self.drives, self.levels = [f"{a1}.led-1", f"{a1}.led-2"], [f"{a1}.q-1", f"{a1}.q-2"]
        self.power, self.relay = f"{a1}.out", f"{a1}.relay-1"
        self._feed(a1)
        self.board = way == "outside"
        if self.board:
            k1 = self.add("K", "board", "box", **{"from": self.power, "obeys": f"{a1}.coded"})
            self.relay = f"{k1}.relay"

    def _feed(self, a1: str) -> None:
        choose, site, device = self.choose, self.site, self.devices[self.a1]
        feed = choose.one(["port", "port", "mid-span", "splitter", "local", "central"])
        if feed == "port":
            device["from"] = site.port()
            if choose.chance(40):
                device["through"] = [site.patch() for _ in range(choose.number(1, 2))]
        elif feed == "mid-span":
            p1 = self.add("P", "mid-span", "closet", **{"from": "mains", "speaks": {"data": site.port()}})
            device["from"] = f"{p1}.out"
        elif feed == "splitter":
            g = self.add("G", "splitter", "box", **{"from": site.port()})
            device |= {"from": {"dc": f"{g}.out"}, "speaks": {"lan": f"{g}.data"}}
        elif feed == "local":
            g = self.add("G", "dc-supply", "box", **{"from": "mains"})
            if choose.chance(60):
                self.devices[g]["obeys"] = {"fire": site.fire()}
            if choose.chance(60):
                self.devices[g]["tells"] = {"fault": self.inputs.pop()}
            device |= {"from": {"dc": f"{g}.out"}, "speaks": {"lan": site.port()}}
        else:
            device |= {"from": {"dc": site.branch()}, "speaks": {"lan": site.port()}}

    def _reader(self) -> None:
        choose, a1, at = self.choose, self.a1, self._outside()
        self.last_on_line = ""
        if self.side:
            u = self.add("U", "wiegand-reader", at, **{"from": self.power, "speaks": f"{a1}.w-{self.side}"})
            if choose.chance(60):
                self.devices[u]["obeys"] = {"led": self.drives.pop()}
            return
        power = choose.one([f"{a1}.reader", f"{a1}.reader", self.power])
        way = choose.one(["osdp", "osdp", "wiegand", "serial", "chain", "converter", "surge"])
        if way == "osdp":
            u = self.add("U", "osdp-reader", at, **{"from": power, "speaks": f"{a1}.line"})
            self.last_on_line = f"{u}.line"
            if choose.chance(30) and self.inputs:
                self.devices[u]["tells"] = {"tamper": self.inputs.pop()}
        elif way == "chain":
            u2 = self.add("U", "osdp-reader", "inside", **{"from": self.power, "speaks": f"{a1}.line"})
            u1 = self.add("U", "osdp-reader", at, **{"from": power, "speaks": f"{u2}.line"})
            self.last_on_line = f"{u1}.line"
        elif way == "wiegand":
            u = self.add("U", "wiegand-reader", at, **{"from": power, "speaks": f"{a1}.w1"})
            if choose.chance(60):
                self.devices[u]["obeys"] = {
                    "led": self.drives.pop(),
                    **({"sound": self.drives.pop()} if choose.chance(50) else {}),
                }
        elif way == "serial":
            self.add("U", "serial-reader", at, **{"from": power, "speaks": f"{a1}.serial"})
        elif way == "converter":
            k = self.add("K", "converter", self._inside(), **{"from": self.power, "speaks": {"line": f"{a1}.line"}})
            self.last_on_line = f"{k}.line"
            self.add("U", "wiegand-reader", at, **{"from": power, "speaks": f"{k}.reader"})
        else:
            f1 = self.add("F", "line-protector", "box", speaks={"house": f"{a1}.w1"}, earths=self.site.earth())
            f2 = self.add("F", "power-protector", "box", earths=self.site.earth())
            self.add(
                "U",
                "wiegand-reader",
                at,
                **{"from": power, "through": {"plus": [f"{f2}.a"], "minus": [f"{f2}.b"]}, "speaks": f"{f1}.field"},
            )

    def _lock(self) -> None:
        choose = self.choose
        self.leave_by: Any = "handle"
        way = choose.one(["strike", "strike", "magnet", "magnet", "ac", "pair", "bank", "none"])
        if way in ("bank", "pair") and self.side:
            way = "strike"
        if self.board and way in ("magnet", "pair"):
            way = "strike"  # an inside board has no sense to turn round
        if way == "strike":
            self._strike()
        elif way == "magnet":
            self._magnet()
        elif way == "ac":
            t1 = self.add("T", "ac-supply", "box", **{"from": "mains"}) if "T1" not in self.devices else self._second_t()
            self._wants("held")
            self.add("Y", "ac-strike", "frame", **{"from": f"{t1}.out", "through": [self._maybe_beside(self.relay)]})
        elif way == "pair":
            self._pair()
        elif way == "bank":
            self._bank()

    def _second_t(self) -> str:
        self.counts["T"] = 1
        return self.add("T", "ac-supply", "box", **{"from": "mains"})

    def _wants(self, dead: str, fire: str | None = None) -> None:
        self.want = {"idle": "held", "grant": "free"}
        if dead == "held" or not self.side:
            self.want["controller-dead"] = dead
        if self.choose.chance(70):
            self.want["power-dead"] = dead
        if fire:
            self.want["fire"] = fire

    def _maybe_beside(self, relay: str) -> str:
        if self.choose.chance(30):
            s = self.add("S", "button", "inside")
            if self.groups(s)["tell"]["kind"] == "contact":
                return f"{relay} or {s}.tell"
            self._tell(s)
        return relay

    def _strike(self) -> None:
        self._wants("held")
        y = self.add(
            "Y",
            "strike",
            self.choose.one(["frame", self.leaf]),
            **{"from": self._lock_power(), "through": [self._maybe_beside(self.relay)]},
        )
        self._tell(y)

    def _lock_power(self) -> str:
        return self.site.branch() if self.choose.chance(40) else self.power

    def _magnet(self) -> None:
        choose = self.choose
        leave: list[str] = []
        fire = choose.chance(40)
        self._wants("free", "free" if fire else None)
        plus, minus = [self.relay], []
        if fire:
            plus.append(self.site.fire())
        if choose.chance(70):
            s = self.add("S", "button", "inside")
            plus.append(f"{s}.pole-1")
            leave.append("button")
            if choose.chance(40):
                minus.append(f"{s}.pole-2")
            self._tell(s)
        if choose.chance(60):
            s = self.add("S", "sensor", self._inside(), **{"from": self.power})
            plus.append(f"{s}.chain")
            leave.append("sensor")
            self._tell(s)
        self.leave_by = leave or "handle"
        plus = choose.shuffled(plus)
        through: Any = {"plus": plus, "minus": minus} if minus else plus
        y = self.add("Y", "magnet", choose.one(["frame", self.leaf]), **{"from": self._lock_power(), "through": through})
        self._tell(y)

    def _pair(self) -> None:
        """Two magnets, each behind its own pole of a relay that is moved in idle."""
        source = self.site.branch()
        k = self.add("K", "coil-relay", "box", **{"from": source, "through": [self.relay]})
        self.leave_by = ["button"]
        self._wants("free")
        s = self.add("S", "button", "inside")
        for n in (1, 2):
            self.add("Y", "magnet", "frame", **{"from": source, "through": [f"{s}.pole-{n}", f"{k}.c-{n}.make"]})
        self._tell(s)

    def _bank(self) -> None:
        choose = self.choose
        count = choose.number(2, 8 if self.size > 2 else 4)
        self.leave_by = {"none": "cabinets, nobody can be inside"}
        self.want = {"idle": "held", "grant": "free"}
        k = self.add(
            "K",
            "line-module",
            "box",
            **{"from": self.power, "obeys": f"{self.a1}.line" if not self.last_on_line else self.last_on_line},
        )
        self.last_on_line = f"{k}.line"
        body = {"type": self.site.kind("strike"), "at": "frame", "from": self.power}
        if choose.chance(50):
            self.devices[f"Y1..{count}"] = {**body, "through": [f"{k}.c-1..{count}"]}
        else:
            for n in range(1, count + 1):
                self.devices[f"Y{n}"] = {**body, "through": [f"{k}.c-{n}"]}
        self.counts["Y"] = count

    def _tell(self, ref: str) -> None:
        """Lets a signalling contact report, if it has one and an input is left."""
        if "tell" in self.groups(ref) and self.inputs and self.choose.chance(75):
            self.devices[ref].setdefault("tells", {})["tell"] = self.inputs.pop()

    def _watch(self) -> None:
        """A door contact, or two in series, plain or supervised."""
        if not self.inputs:
            return
        choose = self.choose
        target = self.inputs.pop()
        b = self.add(
            "B", choose.one(["contact", "contact", "contact", "swap-contact"]), choose.one(["frame", self.leaf]), tells=target
        )
        group = self.groups(b)["tell"]
        if not self.side and group["kind"] == "contact" and choose.chance(40):
            self.devices[self.a1].setdefault("set", {})[target.split(".")[1]] = "supervised"
        elif group["kind"] == "contact" and "line-end" not in group and choose.chance(35):
            self.add("B", "contact", "frame", tells=b)

    def _sounder(self) -> None:
        if self.drives and self.choose.chance(60):
            self.add("H", "sounder", self._inside(), **{"from": self.power, "obeys": self.drives.pop()})
        else:
            self.add("H", "sounder", self._inside(), **{"from": self.power})

    def _machine(self) -> None:
        choose, obeys = self.choose, {}
        if not self.side and not self.counts.get("M"):
            obeys["open"] = f"{self.a1}.relay-2"
        if choose.chance(60):
            obeys["fire"] = self.site.fire()
        m = self.add("M", "machine", self._inside(), **{"from": "mains"})
        if obeys:
            self.devices[m]["obeys"] = obeys
        if self.inputs and choose.chance(50):
            self.devices[m]["tells"] = {"limit": self.inputs.pop()}
        if choose.chance(50):
            self.devices[m]["earths"] = self.site.earth()

    def _module(self) -> None:
        """Contacts behind driven inputs; one of them opens a machine."""
        if not self.levels:
            return
        k = self.add("K", "drive-module", self._inside(), **{"from": self.power})
        self.devices[k]["obeys"] = {f"in-{n}": self.levels.pop() for n in range(1, self.choose.number(1, len(self.levels)) + 1)}
        self.add("M", "machine", self._inside(), **{"from": "mains", "obeys": {"open": f"{k}.c-1"}})

    def _lone_relay(self) -> None:
        """A relay whose coil a driven line feeds."""
        if self.levels:
            k = self.add("K", "coil-relay", self._inside(), obeys=self.levels.pop())
            self.add("M", "machine", self._inside(), **{"from": "mains", "obeys": {"open": f"{k}.c-1"}})

    def _loop(self) -> None:
        """Two things on one supply, the second looped on at the first."""
        first = self.add("S", "sensor", "inside", **{"from": self.power})
        second = self.add("S", "sensor", "inside", **{"from": f"{first}.power"})
        self._tell(first)
        self._tell(second)

    def _second_outside(self) -> None:
        """One more thing that a stranger can reach."""
        if self.inputs:
            s = self.add("S", "button", self.exposed[-1])
            self._tell(s)
        else:
            self.add("H", "sounder", self.exposed[-1], **{"from": self.power})

    def _by_hand(self) -> None:
        """A cable found on site; a conductor added or dropped with a reason."""
        choose = self.choose
        reader = next((r for r in self.devices if r.startswith("U") and self.devices[r]["at"] == "outside"), None)
        alone = all(d.get("at") != "outside" for r, d in self.devices.items() if r != reader)
        if reader and alone and choose.chance(30):
            self.more["cables"] = {"W9": {"type": "old-8", "along": ["box", "outside"], "for": [reader], "existing": "true"}}
        if not self.side and self.inputs and choose.chance(25):
            spare = self.site.sheets[self.devices[self.a1]["type"]]["groups"][self.inputs.pop().split(".")[1]]
            ends = {"from": f"{self.a1}:{spare['in']}", "to": f"{self.a1}:{spare['ref']}"}
            self.more["conductors"] = {"add": [{**ends, "colour": "WH", "why": "this input is not used"}]}
        single = next(
            (b for b in self.devices if b.startswith("B") and str(self.devices[b].get("tells", "")).startswith("A1.")), None
        )
        plain = single and "supervised" not in str(self.devices[self.a1].get("set") if not self.side else "")
        if not self.side and single and plain and choose.chance(15):
            group = self.groups(single)["tell"]
            near = group["between"][0] if group["kind"] == "contact" else group["make"]
            to = self.site.sheets[self.devices[self.a1]["type"]]["groups"][self.devices[single]["tells"].split(".")[1]]["in"]
            self.more.setdefault("conductors", {})["drop"] = [[f"{self.a1}:{to}", f"{single}:{near}"]]


SIZES = (0, 0, 1, 0, 0, 2, 0, 0, 1, 6)  # how many extras the doors of a site may have at the most, in turn


def make_site(choose: Choose, doors: int = 1) -> Files:
    """A site's folder with that many doors, mostly small, one in ten beyond what a page takes."""
    draft = SiteDraft(choose)
    made = {f"D{n + 1}": DoorDraft(draft, f"D{n + 1}", SIZES[n % len(SIZES)]).make() for n in range(doors)}
    sheets = [*STOCK_SHEETS, SWITCH, PATCH, SUPPLY, FIRE, EARTH, *draft.sheets.values()]
    site = {
        "site": "Random site", "codes": {"egress": "none, a test"}, "stock": STOCK, "shared": draft.shared,
        "house": {"paper": choose.one(["A4", "letter"]), "break": choose.one(["plus", "minus"])},
        "revisions": [{"rev": "A", "date": "2026-11-02", "what": "first issue"}],
    }  # fmt: skip
    files = {"site.yaml": _yaml(site)} | {f"devices/{s['type']}.yaml": _yaml(s) for s in sheets}
    return files | {f"doors/{name}.yaml": _yaml(door) for name, door in made.items()}


class _Dumper(yaml.CSafeDumper):
    """Writes every part out: a spec may hold no aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _yaml(value: Any) -> str:
    return yaml.dump(value, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=120, default_flow_style=None)


def write_files(folder: Path, files: Files) -> Path:
    """Writes a site's files below `folder` and gives the site's folder back."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def seeded_site(folder: Path, seed: int, doors: int = 20) -> Path:
    """The site of a seed, below `folder`."""
    return write_files(folder / f"random-{seed}", make_site(Seeded(seed), doors))


@st.composite
def sites(draw: st.DrawFn, doors: int = 1) -> Files:
    """Strategy: the files of a site with that many doors."""
    return make_site(Drawn(draw), doors)
