"""The data sheets: what each kind of device must say, values that hold together, and values that the trade would believe."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from wiregen.reading.model import (
    CableSheet,
    Changeover,
    Contact,
    DataSheet,
    Drive,
    Gives,
    Input,
    LineEndSheet,
    Part,
    Sheet,
    Site,
    Takes,
)

LONGEST_NAME = 40  # letters that fit on a sheet in one line


def devices(sheets: dict[str, Sheet]) -> Iterator[DataSheet]:
    found = [sheet for sheet in sheets.values() if isinstance(sheet, DataSheet)]
    assert len(found) >= 60
    yield from found


def coils(sheet: DataSheet) -> Iterator[tuple[Takes, Part]]:
    for group in sheet.groups.values():
        if isinstance(group, Takes):
            for part in sheet.inside:
                if part.kind == "coil" and set(part.between) == {group.first, group.second}:
                    yield group, part


def silent(thing: object, *fields: str) -> list[str]:
    """Those of the fields that say nothing."""
    return [field for field in fields if not getattr(thing, field)]


def test_names_read_well(sheets: dict[str, Sheet]) -> None:
    for sheet in sheets.values():
        assert len(sheet.name) <= LONGEST_NAME, sheet.type
        assert sheet.name[0].isupper(), sheet.type
        assert not sheet.name.endswith("."), sheet.type


def test_every_lock_says_what_it_does(sheets: dict[str, Sheet]) -> None:
    locks = [sheet for sheet in devices(sheets) if sheet.is_ == "lock"]
    assert len(locks) >= 15
    for lock in locks:
        assert lock.unpowered in ("held", "free", "stays"), lock.type
        assert lock.calm is not None, lock.type
        assert lock.frees, lock.type
        assert not set(lock.calm.wants) & set(lock.calm.never), lock.type


def test_every_switched_coil_has_its_volts_in_order(sheets: dict[str, Sheet]) -> None:
    seen = 0
    for sheet in devices(sheets):
        for group, coil in coils(sheet):
            seen += 1
            assert coil.duty, sheet.type
            assert group.range, sheet.type
            assert coil.pulls_in, sheet.type
            assert coil.lets_go, sheet.type
            assert coil.lets_go.most < coil.pulls_in.least <= group.range.least, sheet.type
            if coil.holds:
                assert coil.lets_go.most < coil.holds.least < coil.pulls_in.least, sheet.type
    assert seen >= 12


def test_screws_and_leads_say_how_they_are_landed(sheets: dict[str, Sheet]) -> None:
    bare = {"network sockets and a mains lead only": ("poe-switch-16", "mid-span"), "blocks with bolts": ("battery",)}
    spared = {word for words in bare.values() for word in words}
    for sheet in devices(sheets):
        if sheet.is_ == "calmer" or not sheet.terminals or {sheet.type, sheet.is_} & spared:
            continue
        if sheet.terminals[0].is_lead:
            assert sheet.leads, sheet.type
        else:
            assert silent(sheet.screw, "wires", "strip", "torque") == [], sheet.type


def test_contacts_say_when_they_close_and_what_they_carry(sheets: dict[str, Sheet]) -> None:
    for sheet in devices(sheets):
        for group in sheet.groups.values():
            if isinstance(group, Contact | Changeover):
                assert group.rating, f"{sheet.type}.{group.name}"
                assert group.closed_when if isinstance(group, Contact) else group.moves_when, f"{sheet.type}.{group.name}"


def test_outputs_say_their_limit_their_habit_and_their_class(sheets: dict[str, Sheet]) -> None:
    for sheet in devices(sheets):
        for group in sheet.groups.values():
            if isinstance(group, Gives) and sheet.is_ != "battery" and not (group.volts_as and sheet.is_ == "lock"):
                assert silent(group, "limit", "overload", "circuit", "out_of") == [], f"{sheet.type}.{group.name}"


def test_inputs_say_their_bands_or_when_they_are_active(sheets: dict[str, Sheet]) -> None:
    for sheet in devices(sheets):
        for group in sheet.groups.values():
            if isinstance(group, Input):
                assert group.active or {"closed", "open"} <= set(group.plain), f"{sheet.type}.{group.name}"
                bands = sorted(group.supervised.values(), key=lambda band: band.least)
                assert all(low.most < high.least for low, high in pairwise(bands)), sheet.type
            if isinstance(group, Drive):
                assert group.boot, f"{sheet.type}.{group.name}: what it is while the device starts"


def test_what_hangs_outside_says_what_a_stranger_would_hold(sites: dict[str, Site]) -> None:
    seen = 0
    for site in sites.values():
        for door in site.doors.values():
            for device in door.devices.values():
                if device.place in door.exposed and device.sheet.is_ in ("reader", "controller"):
                    seen += 1
                    fixed = device.sheet.mounting.get("fix")
                    assert device.sheet.pulled_off or fixed, f"{door.id}/{device.ref}"
    assert seen >= 20


def test_cables_say_their_size_and_girth(sheets: dict[str, Sheet]) -> None:
    for sheet in sheets.values():
        if isinstance(sheet, CableSheet):
            assert sheet.diameter, sheet.type
            assert set().union(*sheet.pairs) <= set(sheet.cores), sheet.type


def test_settings_written_in_doors_are_settings_of_their_sheets(sites: dict[str, Site]) -> None:
    for site in sites.values():
        for owner in (site.shared, *(door.devices for door in site.doors.values())):
            for device in owner.values():
                assert set(device.set) <= set(device.sheet.settings), device.ref


# Ranges that the trade would believe: common practice, no source.
AMPS = {
    ("keeper", 12): (0.2, 0.5),
    ("keeper", 24): (0.1, 0.3),
    ("armature", 12): (0.25, 0.5),
    ("armature", 24): (0.125, 0.25),
    ("handle", 24): (0.1, 0.25),
}


def test_coils_draw_what_such_locks_draw(sheets: dict[str, Sheet]) -> None:
    seen = set()
    for sheet in devices(sheets):
        for group, coil in coils(sheet):
            if sheet.is_ != "lock" or group.current != "dc" or not group.range or not coil.resistance:
                continue
            volts = 12 if group.range.most < 18 else 24
            if (sheet.frees, volts) in AMPS:
                least, most = AMPS[str(sheet.frees), volts]
                seen.add((sheet.frees, volts))
                assert least <= volts / coil.resistance.nominal <= most, sheet.type
    assert seen == set(AMPS)


def test_line_ends_fall_into_the_bands_of_supervised_inputs(sheets: dict[str, Sheet]) -> None:
    """Divider of pull-up and line end, at its tolerances: each state must fall into its own band, short and cut too."""
    packs = [sheet.values for sheet in sheets.values() if isinstance(sheet, LineEndSheet)]
    packs += [
        group.line_end
        for sheet in devices(sheets)
        for group in sheet.groups.values()
        if isinstance(group, Contact) and group.line_end
    ]
    inputs = [g for s in devices(sheets) for g in s.groups.values() if isinstance(g, Input) and g.supervised]
    assert len(packs) >= 2
    assert inputs
    for pack in packs:
        for group in inputs:
            assert group.pull_up
            assert group.pull_up_to
            for state, ohms in {
                "closed": pack.series.nominal,
                "open": pack.series.nominal + pack.across.nominal,
                "short": 0.0,
            }.items():
                volts = group.pull_up_to.nominal * ohms / (ohms + group.pull_up.nominal)
                band = group.supervised[state]
                assert band.least <= volts <= band.most, f"{group.name} {state}: {volts:.2f} V"
            assert group.supervised["cut"].most >= group.pull_up_to.nominal


def test_no_group_is_named_after_its_own_condition(sheets: dict[str, Sheet]) -> None:
    """The word would mean the group itself, and so nothing."""
    for sheet in devices(sheets):
        for name, group in sheet.groups.items():
            conditions = [
                *getattr(group, "closed_when", ()),
                *getattr(group, "moves_when", ()),
                *getattr(group, "gives_when", ()),
            ]
            assert not any(name in condition.any_of for condition in conditions), f"{sheet.type}.{name}"
