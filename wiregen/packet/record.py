"""Everything that was computed, as plain JSON values; lengths in metres, sections in mm², electrical values in SI units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isinf
from typing import Any

from wiregen.changes.revised import revised_data
from wiregen.keeping.canon import content_hash
from wiregen.packet.marking import findings_of
from wiregen.packet.record_faults import faults_data
from wiregen.reading.model import Band, Device, Door, Revision, Site
from wiregen.reading.revisions import sheet_key
from wiregen.reading.shared import SITE
from wiregen.review.model import Finding
from wiregen.states.model import Doing
from wiregen.study.model import Study
from wiregen.wiring.model import Built, Cable, Conductor, End, WiredDevice, Wiring

Json = dict[str, Any]


def record(
    site: Site,
    findings: Sequence[Finding],
    told: Mapping[str, Json],
    sheets: Mapping[str, str],
    contents: Mapping[str, str],
) -> Json:
    """The record of a site with what is `told` of its doors (`door_record`) and, under `SITE`, of what they share.

    `sheets` are the content hashes of the site's own, by title; `contents` those that they would have without revisions.
    """
    return {
        "site": {
            "id": site.id,
            "name": site.name,
            "codes": dict(site.codes),
            "units": site.house.units,
            "paper": site.house.paper,
            "standby": site.standby,
            "signed": dict(site.signed),
            "revisions": [_revision(r) for r in site.revisions],
            "sections": dict(sheets),
            "contents": dict(contents),
            "stands": {title: _stands(site, sheet_key(title)) for title in sheets},
            "devices": [_shared(d) for d in site.shared.values()],
            "wiring": told.get(SITE),
            "joint": [
                {"name": j.name, "doors": list(j.doors), "at-once": j.at_once, "together": list(j.together)} for j in site.joint
            ],
            "findings": [_finding(f) for f in findings if f.door is None],
        },
        "doors": [
            with_findings(told[door], door, findings) for door in site.doors if door in told
        ],
    }


def unset(told: Any) -> Any:
    """The same without any setting."""
    if isinstance(told, dict):
        return {key: {} if key == "set" else unset(each) for key, each in told.items()}
    return [unset(each) for each in told] if isinstance(told, list) else told


def with_findings(told: Json, door: str, findings: Sequence[Finding]) -> Json:
    """What is told of a door, whole."""
    return {**told, "findings": [_finding(f) for f in findings_of(findings, door)]}


def door_record(
    site: Site, door: Door, wiring: Wiring, study: Study, sections: Mapping[str, str], content: str | None
) -> Json:
    """What is told of a door, its findings apart.

    `sections` are the hashes that its content hash is made of, `content` that of what it
    would be without the site's revisions and without marks, where that is asked for.
    """
    hashes = {
        "hash": content_hash(sections),
        "sections": dict(sections),
        "content": content,
        "stands": _stands(site, door.id),
        "revised": revised_data(wiring.revised),
    }
    if door.id == SITE:
        return {**hashes, **_copper(wiring), **_studied(study)}
    return {
        "id": door.id,
        "name": door.name,
        **hashes,
        "kit": door.kit,
        "want": dict(door.want),
        "leave-by": list(door.leave_by),
        "fire-rating": door.fire_rating,
        "revisions": [_revision(r) for r in door.revisions],
        "devices": [_device(d) for d in wiring.devices.values()],
        **_copper(wiring),
        "calmers": [
            {"lock": c.lock, "coil": c.coil, "what": c.word, "ref": c.ref, "type": c.sheet.type if c.sheet else None,
             "band-at": _end(c.band_at), "why": c.why}
            for c in wiring.calmers
        ],
        "line-ends": [
            {"sensor": e.sensor, "group": e.group, "input": e.input, "ref": e.ref, "series": e.values.series.nominal,
             "across": e.values.across.nominal}
            for e in wiring.line_ends
        ],
        "unused": [{"at": f"{u.device}:{u.terminal}", "colour": u.colour, "place": u.place} for u in wiring.unused],
        "behaviour": [
            {"lock": b.lock, "wanted": dict(b.wanted), "gives": dict(b.gives), "powered": dict(b.powered)}
            for b in wiring.behaviours
        ],
        "states": [_state(row) for row in study.states.rows] if study.states else [],
        "faults": faults_data(study.upkeep, _spread),
        **_studied(study),
    }  # fmt: skip


def _stands(site: Site, key: str) -> str | None:
    """The revision of the site at which those pages stand."""
    revisions = sorted(site.revisions, key=lambda r: r.date)
    return site.standing.get(key, revisions[-1].rev if revisions else None)


def _copper(wiring: Wiring) -> Json:
    return {
        "conductors": [_conductor(c) for c in wiring.conductors],
        "cables": [_cable(c) for c in wiring.cables.values()],
        "splices": [
            *({"at": str(j.end), "kind": j.kind, "place": j.place, "potential": j.potential} for j in wiring.junctions),
            *(
                {"at": str(j.end), "kind": j.kind, "place": wiring.devices[j.end.device].place, "lead": j.lead_colour,
                 "wire": j.wire}
                for j in wiring.lead_joints
            ),
        ],
        "links": [
            {"ref": k.ref, "from": str(k.a), "to": str(k.b), "type": k.sheet.type, "along": list(k.along),
             "length_m": _rounded(k.length), "assumed": k.assumed, "poe": k.poe}
            for k in wiring.links
        ],
    }  # fmt: skip


def _studied(study: Study) -> Json:
    return {
        "figures": [
            {"topic": f.topic, "name": f.name, "about": f.about, "value": _rounded(f.value), "unit": f.unit,
             "least": _rounded(f.least), "most": _rounded(f.most), "formula": f.formula,
             "inputs": {n: _rounded(v) for n, v in f.inputs.items()}, "units": dict(f.units), "hand": _rounded(f.hand),
             "source": f.source, "note": f.note, "floor": _rounded(f.floor), "ceiling": _rounded(f.ceiling),
             "bound": f.bound, "margin": _rounded(f.margin), "cure": f.cure}
            for f in study.figures
        ],
        "readings": [
            {"between": [str(end) for end in r.between], "state": r.state, "nominal": _rounded(r.nominal),
             "least": _rounded(r.least), "most": _rounded(r.most), "unit": r.unit, "what": r.what, "how": r.how,
             "step": r.step, "about": r.about, "basis": r.basis}
            for r in study.readings
        ],
        "missing": list(study.missing),
    }  # fmt: skip


def _state(row: Doing) -> Json:
    return {
        "state": row.state,
        "locks": [
            {"lock": lock, "does": told.does, "volts": _spread(told.volts), "amps": _spread(told.amps)}
            for lock, told in row.locks.items()
        ],
        "leave": row.leave,
        "enter": row.enter,
        "contacts": dict(row.contacts),
        "told": dict(row.told),
        "off": list(row.off),
        "dark": list(row.dark),
        "swings": list(row.swings),
    }


def _spread(band: Band | None) -> Json | None:
    return {"nominal": _small(band.nominal), "least": _small(band.least), "most": _small(band.most)} if band else None


def _small(value: float) -> float | None:
    """Rounded; what is less than a microvolt is nothing, and has no sign that another machine might not give it."""
    return _rounded(value if abs(value) > 1e-6 else 0.0)


def _rounded(value: float | None) -> float | None:
    """Nine figures, the same on every machine; None for no limit, and for what there is not."""
    return None if value is None or isinf(value) else float(f"{value:.9g}")


def _end(end: End | None) -> str | None:
    return str(end) if end else None


def _revision(r: Revision) -> Json:
    return {"rev": r.rev, "date": r.date, "what": r.what, "by": r.by}


def _shared(d: Device) -> Json:
    return {"ref": d.ref, "type": d.sheet.type, "place": d.place, "set": dict(d.set), "mount": dict(d.mount), "by": dict(d.by)}


def _device(d: WiredDevice) -> Json:
    own = d.device
    return {
        "ref": d.ref,
        "type": d.sheet.type,
        "place": d.place,
        "exposed": d.exposed,
        "origin": d.origin,
        "set": dict(d.settings),
        "mount": dict(own.mount) if own else {},
        "by": dict(own.by) if own else {},
    }


def _conductor(c: Conductor) -> Json:
    return {
        "wire": c.wire,
        "potential": c.potential,
        "from": str(c.a),
        "to": str(c.b),
        "colour": c.colour,
        "kind": c.kind,
        "cable": c.cable,
        "core": c.core,
        "size": c.size,
        "size_mm2": _rounded(c.area * 1e6),
        "length_m": _rounded(c.length),
        "assumed": c.assumed,
        "function": c.function,
        "circuit": c.circuit,
        "place": c.place,
        "why": c.why,
        "as-built": _built(c.built) if c.built else None,
    }


def _built(b: Built) -> Json:
    off = {part: str(end) for part, end in b.off}
    was = dict(b.was) | ({"length_m": _rounded(b.was_length[0])} if b.was_length else {})
    return {"was": was, "landed-off": off, "note": b.note, "by": b.by, "date": b.date}


def _cable(c: Cable) -> Json:
    return {
        "ref": c.ref,
        "type": c.sheet.type,
        "along": list(c.along),
        "length_m": _rounded(c.length),
        "assumed": c.assumed,
        "serves": list(c.serves),
        "cores": [{"core": core, "wire": wire} for core, wire in c.cores],
        "existing": c.existing,
        "by": c.by,
        "screen": c.screen_why or None,
    }


def _finding(f: Finding) -> Json:
    return {
        "code": f.code,
        "level": f.level,
        "file": f.where.file,
        "line": f.where.line,
        "column": f.where.column,
        "message": f.message,
        "cure": f.cure,
        "source": f.source,
        "doors": list(f.doors),
        "approved": f.approved,
    }
