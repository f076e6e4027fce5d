"""What the exposure file says: the only place where it stands which wires of a door open it."""

from __future__ import annotations

from wiregen.attacks.model import Attack, Success, Tried
from wiregen.attacks.private import FIRST
from wiregen.wiring.model import End, Wiring

NOT_COVERED = (
    "damage by a foreign voltage beyond what an input or output stands, and what a damaged part then does",
    "two steps at once, or one after another",
    "what is done to mains, and to a leaf, frame or lock by force",
    "radio, and what a message on a data line says",
)
AT_REST, TAMPERED = "at rest", "with the tamper contact worked"


def exposure_data(door: str, wiring: Wiring, tried: Tried) -> dict[str, object]:
    return {
        "kind": FIRST,
        "door": door,
        "succeed": [
            {
                "at": [_end(wiring, end) for end in s.attack.at],
                "wires": list(s.attack.wires),
                "done": _done(s.attack),
                "door": _when(s.attack),
                "happens": _happens(s),
                "sure": _sure(s),
            }
            for s in tried.successes
        ],
        "tried": dict(tried.counts),
        "not covered": list(NOT_COVERED),
    }


def exposure_text(door: str, wiring: Wiring, tried: Tried) -> str:
    lines = [f"{FIRST}: door {door}. Keep it as you keep its keys.", ""]
    lines.append(f"Attacks of one step that succeed: {len(tried.successes)}")
    for number, s in enumerate(tried.successes, start=1):
        lines += ["", f"{number}. {_done(s.attack)}, {_when(s.attack)}"]
        lines += [f"   {_end(wiring, end)}" for end in s.attack.at]
        lines += [f"   wires {', '.join(s.attack.wires)}"] if s.attack.wires else []
        lines += [f"   then {what}" for what in _happens(s)]
        lines.append(f"   {_sure(s)}")
    lines += ["", "Tried:", *(f"  {kind}: {count}" for kind, count in tried.counts)]
    lines += ["", "Not covered:", *(f"  {what}" for what in NOT_COVERED)]
    return "\n".join(lines) + "\n"


def _done(attack: Attack) -> str:
    if attack.kind == "fed":
        return f"a foreign source of {abs(attack.volts):g} V, plus on the {'first' if attack.volts > 0 else 'second'}"
    return attack.kind


def _when(attack: Attack) -> str:
    return TAMPERED if attack.point.case.state == "tamper" else AT_REST


def _happens(success: Success) -> list[str]:
    return [f"{lock} is {does}" for lock, does in success.lets_go] + [f"{at} is worked" for at in success.moves]


def _sure(success: Success) -> str:
    if success.swings:
        return f"not sure: {', '.join(success.swings)} does not come to rest"
    certain = success.moves or any(does == "free" for _, does in success.lets_go)
    return "sure in the model" if certain else "not sure: between the volts of the lock"


def _end(wiring: Wiring, end: End) -> str:
    """Device, mark, then colour and number of each wire that lands there."""
    wires = [f"{c.colour} {c.wire}" for c in wiring.conductors if end in (c.a, c.b)]
    return f"{end.device} {end.terminal}" + (f" ({', '.join(wires)})" if wires else "")
