"""Anticoagulants, a clot in an arm, an implanted port, a stoma, a compression garment."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.clinical.domain.conditions import conditions_of_kind, has_needle_in, is_within
from clients.clinical.domain.limbs import (
    ARM_REGIONS,
    ARMS,
    SIDE_OF,
    LoadedLimb,
    limbs_of,
    main_site,
)
from clients.clinical.domain.orders_in_force import is_cleared_for_load
from clients.health.domain.content import BodySite, Condition, RangeLimit
from clients.health.domain.sites import overlapping_sites, sides_meet, technique_text
from clients.health.domain.terms import ConditionKind
from clients.permissions.domain.findings import (
    ARM_RAISES,
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode, Movement, Region, Side

NO_SOURCE = f"{COMMON_PRACTICE}, no source"
PORT_LEAFLET = "leaflet for patients (Alberta): the first week no overhead, nothing behind the back"
STOMA = "weights with permission (PMC4470419); NSWOC: no heavy lifting for 3 months"
GARMENT = "ACSM 2019, table 5; Hayes 2020: neither benefit nor harm shown"
BEHIND_THE_BACK = frozenset({Movement.SHOULDER_EXTENSION, Movement.SHOULDER_INTERNAL_ROTATION})
BRUISES = "Ask about bruises and bleeding first."
ASK_NEEDLE = "Ask whether a needle is in the port today: then no contact and no pull there."


def anticoagulants(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """No forced end of the range: neither contract-relax nor passive."""
    if not any(_of_kind(facts, ConditionKind.ANTICOAGULANTS)):
        return
    if target.assisted_only:
        text = f"Anticoagulants: no forced end range, so no {technique_text(target.technique)}."
        yield _bar("anticoagulants.end_range", text, PRACTICE_POLICY)
    else:
        text = f"Anticoagulants: no forced end range. {BRUISES}"
        yield _caution("anticoagulants.bruises", text, PRACTICE_POLICY)


def arm_clot(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """With clearance (without it nothing is done) that arm gently, and not to a forced end."""
    for condition in _of_kind(facts, ConditionKind.ARM_CLOT):
        if not _works_arm(condition, target):
            continue
        if target.assisted_only:
            text = f"A clot in that arm: no {technique_text(target.technique)} stretching of it."
            yield _bar("arm_clot.technique", text, PRACTICE_POLICY)
        else:
            text = "A clot in that arm: gently, no pressure along the vein; watch for swelling."
            yield _caution("arm_clot.gently", text, PRACTICE_POLICY)


def port(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """With the needle in no contact and no pull; newly implanted the arm stays low."""
    for condition in _of_kind(facts, ConditionKind.IMPLANTED_PORT):
        sites = _port_sites(condition)
        touched = overlapping_sites(sites, target.contacts)
        pulled = overlapping_sites(sites, target.pulls)
        needle = _needle(condition, facts)
        if needle and pulled:
            yield _bar("port.pull", "A needle is in the port: no pull across it.", NO_SOURCE)
        if needle and touched:
            text = "A needle is in the port: no contact there."
            reason = clinical_reason("port.contact", text, NO_SOURCE)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
        if needle is None and (touched or pulled):
            reason = clinical_reason("port.ask", ASK_NEEDLE, NO_SOURCE)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason, pending=True)
        if not needle and (touched or pulled):
            yield _caution("port.no_pressure", "No pressure on the port.", NO_SOURCE)
        if _is_new(condition, facts, settings) and any(
            sides_meet(site.side, target.side) for site in sites
        ):
            yield from _new_port(target, settings)


def _new_port(target: StretchTarget, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    days = settings.port_days
    if not BEHIND_THE_BACK.isdisjoint(target.spec.movements):
        text = f"A port in its first {days} days, or of unknown date: nothing behind the back."
        yield _bar("port.behind_the_back", text, PORT_LEAFLET)
    if target.raises_arm:
        text = f"A port in its first {days} days, or of unknown date: nothing overhead."
        degrees = settings.arm_limit_degrees
        limits = tuple(RangeLimit(movement=move, degrees=degrees) for move in ARM_RAISES)
        reason = clinical_reason("port.overhead", text, PORT_LEAFLET)
        yield PermissionFinding(Mode.HANDS_ON, reason, limits=limits)


def stoma(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """No contact on the abdomen and no assisted pull across it; curls wait for their clearance."""
    for condition in _of_kind(facts, ConditionKind.STOMA):
        sites = condition.sites or (BodySite(region=Region.ABDOMEN, side=Side.BOTH),)
        if overlapping_sites(sites, target.contacts):
            reason = clinical_reason("stoma.contact", "No contact on the stoma.", PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
        if not overlapping_sites(sites, target.pulls):
            continue
        if target.assisted_only:
            text = f"No {technique_text(target.technique)} stretching across the stoma."
            yield _bar("stoma.pull", text, PRACTICE_POLICY)
        elif not target.tagged(StretchTag.BREATHING, StretchTag.WALKING):
            text = "A stoma: empty the bag first; no breath is held, stop at any bulge or pain."
            yield _caution("stoma.gently", text, PRACTICE_POLICY)


def garment(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A compression garment narrows nothing: on or off is the client's choice."""
    for condition in _of_kind(facts, ConditionKind.COMPRESSION_GARMENT):
        if not condition.sites or overlapping_sites(condition.sites, target.worked):
            yield _garment()


def for_load(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """What the load of a limb waits for, or heeds."""
    if any(_of_kind(facts, ConditionKind.ANTICOAGULANTS)):
        yield _caution("anticoagulants.bruises", f"Anticoagulants. {BRUISES}", PRACTICE_POLICY)
    for condition in _of_kind(facts, ConditionKind.ARM_CLOT):
        if limb in ARMS and _on_side(condition.sites, limb):
            text = "A clot in that arm, cleared: start low; watch for swelling."
            yield _caution("arm_clot.load", text, PRACTICE_POLICY)
    for condition in _of_kind(facts, ConditionKind.IMPLANTED_PORT):
        if limb in ARMS and _on_side(_port_sites(condition), limb):
            yield from _port_load(condition, facts, settings)
    for condition in _of_kind(facts, ConditionKind.COMPRESSION_GARMENT):
        if not condition.sites or limb in limbs_of(condition.sites):
            yield _garment()


def stoma_load(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """With a stoma weights are lifted with a surgeon's clearance for load only."""
    if any(_of_kind(facts, ConditionKind.STOMA)) and not is_cleared_for_load(
        on_day(facts, settings), main_site(limb), surgeon=True
    ):
        text = "A stoma: weights with a surgeon's clearance for load only."
        yield _bar("stoma.load", text, STOMA)


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """What the whole session heeds."""
    if any(_of_kind(facts, ConditionKind.ANTICOAGULANTS)):
        text = f"Anticoagulants: no forced end range. {BRUISES}"
        yield clinical_reason("anticoagulants.bruises", text, PRACTICE_POLICY)
    if any(_needle(one, facts) is None for one in _of_kind(facts, ConditionKind.IMPLANTED_PORT)):
        yield clinical_reason("port.ask", ASK_NEEDLE, NO_SOURCE)


def _port_load(
    condition: Condition, facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    needle = _needle(condition, facts)
    if needle:
        yield _bar("port.load", "A needle is in the port: no load on that arm.", NO_SOURCE)
    if needle is None and facts.arrival is not None:
        yield _bar("port.ask", f"{ASK_NEEDLE} Until then no load on that arm.", NO_SOURCE)
    if _is_new(condition, facts, settings):
        text = f"A port in its first {settings.port_days} days, or of unknown date: no load there."
        yield _bar("port.new_load", text, f"{PORT_LEAFLET}; at most 4.5 kg, {PRACTICE_POLICY}")


def _needle(port: Condition, facts: PermissionFacts) -> bool | None:
    said_today = facts.arrival.needle_in_port if facts.arrival else None
    return has_needle_in(port, facts.day, said_today)


def _is_new(condition: Condition, facts: PermissionFacts, settings: PermissionSettings) -> bool:
    return is_within(condition.since, facts.day, settings.port_days)


def _of_kind(facts: PermissionFacts, kind: ConditionKind) -> Iterator[Condition]:
    return conditions_of_kind(facts.client, kind, facts.day)


def _port_sites(condition: Condition) -> tuple[BodySite, ...]:
    return condition.sites or (BodySite(region=Region.CHEST, side=Side.BOTH),)


def _works_arm(condition: Condition, target: StretchTarget) -> bool:
    sides = {site.side for site in condition.sites} or {Side.BOTH}
    arm = [BodySite(region=region, side=side) for region in ARM_REGIONS for side in sides]
    return bool(overlapping_sites(arm, target.worked))


def _on_side(sites: Iterable[BodySite], limb: LoadedLimb) -> bool:
    sides = [site.side for site in sites]
    return not sides or any(sides_meet(side, SIDE_OF[limb]) for side in sides)


def _garment() -> PermissionFinding:
    text = "A compression garment: on or off in exercise is the client's choice."
    return _caution("garment.choice", text, GARMENT)


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))


def _caution(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.HANDS_ON, clinical_reason(code, text, source), caution=True)
