"""Standby on a battery: ampere-hours needed for idle and alarm, hours that a given battery lasts, recharge.

Hours and margin come from the site: what fire codes ask of fire-alarm supplies is not asked of lock supplies.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from wiregen.reading.model import Band, Site
from wiregen.reading.quantity import band
from wiregen.study.formula import Formula, Value
from wiregen.study.model import Figure

SIZES = (7.0, 12.0, 18.0, 26.0, 33.0, 40.0, 65.0, 100.0)  # A h, as sealed lead batteries are sold; common practice, no source
# Where the site does not say otherwise: common practice, no source
MARGIN = Band(25, 25, 25, "1", "25 %")
ALARM = Band(0.5, 0.5, 0.5, "s", "30 min")  # h
ROOM = Band(20, 15, 30, "K", "15..30 °C")
AGEING = 1.25  # a battery is replaced when it holds 80 % of its capacity: IEEE 485, from memory
STILL = Band(1.0, 0.8, 1.0, "1", "80..100 %")  # of its capacity: at the end of its life, and new
RATED_HOURS = 20.0  # h in which a sealed lead battery gives its capacity
EXPONENT = Band(1.15, 1.1, 1.3, "1", "1.1..1.3")  # Peukert's, of sealed lead batteries: common practice, no source
CHARGE_FACTOR = 1.2  # A h that go in for each that comes out: common practice, no source
RECHARGED = 24.0  # h: common practice, no source

TEMPERATURE = Formula(
    "1.405 - 2.4941 * (celsius / scale) + 4.1916 * (celsius / scale) ** 2 - 2.8117 * (celsius / scale) ** 3", "",
    {"celsius": "°C", "scale": "°C"},
    "published cubic for the temperature factors of IEEE 485, 1 at 25 °C, scale 100 °C",
)  # fmt: skip
RATE = Formula(
    "max(1, (rated_hours / hours) ** (1 - 1 / exponent))", "", {"rated_hours": "h", "hours": "h", "exponent": ""},
    "Peukert's law: a battery emptied faster than in its rated hours gives less",
)  # fmt: skip
RAW = Formula(
    "idle * standby + alarm * alarm_time", "A h", {"idle": "A", "standby": "h", "alarm": "A", "alarm_time": "h"},
    "ampere-hours drawn, as fire-alarm supplies are worked out (NFPA 72)",
)  # fmt: skip
NEEDED = Formula(
    "drawn * (1 + margin / 100) * ageing * temperature * rate", "A h",
    {"drawn": "A h", "margin": "", "ageing": "", "temperature": "", "rate": ""},
    "margin of the site; ageing and temperature factor by IEEE 485; Peukert's law",
)  # fmt: skip
GIVES = Formula(
    "capacity * still / temperature", "A h", {"capacity": "A h", "still": "", "temperature": ""},
    "what a battery of that age and temperature gives in its rated hours",
)  # fmt: skip
LASTS = Formula(
    "min(gives / amps, rated_hours * (gives / (amps * rated_hours)) ** exponent)", "h",
    {"gives": "A h", "amps": "A", "rated_hours": "h", "exponent": ""},
    "Peukert's law",
)  # fmt: skip
NEXT = Formula(
    "".join(f"{size:g} if needed <= {size:g} else " for size in SIZES) + "inf", "A h", {"needed": "A h"},
    "sizes as they are sold: common practice, no source",
)  # fmt: skip
RECHARGE = Formula(
    "drawn * charge_factor / charge", "h", {"drawn": "A h", "charge_factor": "", "charge": "A"}, "what was drawn, and its loss"
)


@dataclass(frozen=True)
class Standby:
    """What a site asks of its batteries: hours on them, then hours of alarm, margin in %, and how warm they stand."""

    hours: Band
    alarm_hours: Band
    margin: Band
    celsius: Band
    assumed: str  # which of them the site does not say


def standby(site: Site) -> Standby | None:
    """None where the site asks for no standby."""
    if site.standby is None:
        return None
    told = site.battery
    assumed = {"alarm": ALARM.text, "margin": MARGIN.text, "temperature": ROOM.text}
    return Standby(
        _hours(band(site.standby, "s")),
        _hours(told["alarm"]) if "alarm" in told else ALARM,
        _percent(told["margin"]) if "margin" in told else MARGIN,
        told.get("temperature", ROOM),
        ", ".join(f"{key} {text}" for key, text in assumed.items() if key not in told),
    )


def _hours(time: Band) -> Band:
    return replace(time, nominal=time.nominal / 3600, least=time.least / 3600, most=time.most / 3600)


def _percent(share: Band) -> Band:
    return replace(share, nominal=share.nominal * 100, least=share.least * 100, most=share.most * 100)


def battery_figures(
    about: str, capacity: Band | None, charge: Band | None, idle: Value, alarm: Value, asks: Standby
) -> tuple[Figure, ...]:
    """Figures of one battery: `idle` and `alarm` are the A that all its doors take from it, `charge` what recharges it."""
    note = f"the site does not say (battery: ...): {asks.assumed} assumed" if asks.assumed else ""
    temperature = TEMPERATURE.figure("temperature factor", about, celsius=asks.celsius, scale=100)
    hours = asks.hours.nominal + asks.alarm_hours.nominal
    rate = RATE.figure("rate factor", about, rated_hours=RATED_HOURS, hours=hours, exponent=EXPONENT)
    drawn = RAW.figure(
        "A h drawn", about, idle=idle, standby=asks.hours, alarm=alarm, alarm_time=asks.alarm_hours, note=note
    )
    needed = NEEDED.figure(
        "A h needed", about, drawn=drawn, margin=asks.margin, ageing=AGEING, temperature=temperature, rate=rate, note=note
    )
    size = NEXT.figure("next size sold", about, needed=needed.most)
    figures = [temperature, rate, drawn]
    if capacity:
        sold = isfinite(size.value)
        cure = f"a battery of {size.value:g} A h" if sold else f"two batteries side by side, or fewer than {asks.hours.text}"
        figures.append(replace(needed, ceiling=capacity.least, bound=f"{about} holds {capacity.text}", cure=cure))
        if _least(idle) > 0:
            gives = GIVES.figure("A h given", about, capacity=capacity, still=STILL, temperature=temperature)
            lasts = LASTS.figure(
                "hours on battery, idle", about, gives=gives, amps=idle, rated_hours=RATED_HOURS, exponent=EXPONENT,
                note="least at the end of its life",
            )  # fmt: skip
            figures.append(replace(lasts, floor=asks.hours.nominal, bound=f"standby of the site, {asks.hours.text}", cure=cure))
    else:
        figures.append(needed)
    if isfinite(size.value):
        figures.append(size)
    if charge:
        told = RECHARGE.figure("hours to recharge", about, drawn=drawn, charge_factor=CHARGE_FACTOR, charge=charge)
        figures.append(
            replace(
                told, ceiling=RECHARGED, bound=f"recharged within {RECHARGED:g} h: common practice, no source",
                cure="a supply that charges with more amps",
            )
        )  # fmt: skip
    return tuple(replace(figure, topic="battery") for figure in figures)


def _least(value: Value) -> float:
    return value if isinstance(value, int | float) else value.least
