"""Load: which limb, or the trunk, may carry external load on the day, and why not.

The one answer to it: curls and loaded stretches, the split of the hour, suggested loads,
home exercise and the plan ask here. Measurements only narrow it further.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from clients.clinical.domain.abdomen import abdominal_operations
from clients.clinical.domain.conditions import known_radiations
from clients.clinical.domain.limbs import (
    ARMS,
    LoadedLimb,
    limbs_of,
    main_site,
    operations_on,
)
from clients.clinical.domain.operations import (
    incision_is_open,
    known_histories,
    open_donor_site,
    weeks_since,
)
from clients.clinical.domain.orders_in_force import (
    is_cleared_for_load,
    load_restrictions,
)
from clients.clinical.domain.swelling_risk import limbs_with_lymphedema
from clients.health.domain.content import BodySite
from clients.health.domain.terms import ClearanceNeed
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain import (
    abdomen,
    arrival,
    blood,
    conditions,
    free_words,
    load_conditions,
    nerves_and_heart,
    vessels_and_devices,
)
from clients.permissions.domain.findings import (
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
    sorted_reasons,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.orders import restriction_text
from clients.permissions.domain.results import LoadPermission
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode

LoadRule = Callable[[PermissionFacts, LoadedLimb, PermissionSettings], Iterable[PermissionFinding]]
PROSPER = "practice policy; PROSPER: load from 4 weeks (BMC Health Serv Res 2018;18:463)"
NO_SOURCE = f"{COMMON_PRACTICE}, no source"


def load_permissions(
    facts: PermissionFacts, general: Iterable[Reason], settings: PermissionSettings
) -> tuple[LoadPermission, ...]:
    """Limb by limb. ``general``: what closes the whole session that day, and so every limb."""
    shut = list(general)
    return tuple(_permission(facts, limb, shut, settings) for limb in LoadedLimb)


def day_bars(facts: PermissionFacts, settings: PermissionSettings) -> list[Reason]:
    """What closes all work that day, whoever works with the client and wherever."""
    rules = (
        conditions.clot,
        free_words.for_session,
        blood.infection,
        nerves_and_heart.brain,
        arrival.for_session,
        arrival.stop,
    )
    found = [finding for rule in rules for finding in rule(facts, settings)]
    return [finding.reason for finding in found if finding.mode is Mode.NOT_TODAY]


def _permission(
    facts: PermissionFacts, limb: LoadedLimb, general: list[Reason], settings: PermissionSettings
) -> LoadPermission:
    rules = (*SHARED_RULES, *LOADED_RULES, *LIMB_RULES)
    findings = [finding for rule in rules for finding in rule(facts, limb, settings)]
    bars = [*general, *(f.reason for f in findings if not f.caution)]
    return LoadPermission(
        limb=limb,
        open=not bars,
        operated=bool(operations_on(on_day(facts, settings), limb)),
        swollen=limb in limbs_with_lymphedema(facts.client, facts.day),
        reasons=sorted_reasons(bars),
        cautions=sorted_reasons(f.reason for f in findings if f.caution),
    )


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Loaded stretches and curls wait for what the load of the same limb waits for."""
    if not target.tagged(StretchTag.LOADING, StretchTag.CURL):
        return
    loaded = LOADED_RULES if target.tagged(StretchTag.LOADING) else ()
    for limb in sorted(limbs_of(target.pulls)):
        for rule in (*SHARED_RULES, *loaded):
            yield from rule(facts, limb, settings)


def history_bars(facts: PermissionFacts, settings: PermissionSettings) -> list[Reason]:
    """Why external load is not cleared anywhere, by the history alone."""
    return _history_bars(facts, None, settings)


def _history_bars(
    facts: PermissionFacts, site: BodySite | None, settings: PermissionSettings
) -> list[Reason]:
    reviewed = facts.client.reviewed
    if reviewed is None or reviewed.clearance_need is ClearanceNeed.NOT_ASKED:
        text = "It has not been reviewed whether clearance for loading is needed."
        return [clinical_reason("load.clearance_not_asked", text, PRACTICE_POLICY)]
    needed = any(
        history.clearance_need is ClearanceNeed.NEEDED for history in known_histories(facts.client)
    )
    if not needed or is_cleared_for_load(on_day(facts, settings), site):
        return []
    text = "The history asks for a physician's clearance for load and none stands: no loading."
    return [clinical_reason("load.clearance_missing", text, PRACTICE_POLICY)]


def history(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """The clearance that the history asks for, for that limb or for the whole body."""
    for reason in _history_bars(facts, main_site(limb), settings):
        yield PermissionFinding(Mode.NOT_TODAY, reason)


def restricted(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A surgeon's or physician's restriction that speaks of load there."""
    for order in load_restrictions(on_day(facts, settings)):
        if limb in _restricted_limbs(order):
            source = f"{order.prescriber.value}'s order"
            yield _bar("load.restriction", restriction_text(order), source)


def _restricted_limbs(order: MedicalOrder) -> frozenset[LoadedLimb]:
    if order.sites:
        return limbs_of(order.sites)
    only = {
        frozenset({OrderSubject.CURLS}): frozenset({LoadedLimb.TRUNK}),
        frozenset({OrderSubject.RESISTED_CHEST_WORK}): ARMS,
    }
    return only.get(frozenset(order.subjects), frozenset(LoadedLimb))


def weeks(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """An operated limb carries no load before the practice's weeks; legs and trunk after an
    operation of abdomen or pelvis have weeks of their own."""
    known = on_day(facts, settings)
    own = [] if limb in ARMS else abdominal_operations(known)
    touching = [one for one in operations_on(known, limb) if one not in own]
    if not touching:
        return
    since = weeks_since(touching, facts.day)
    if since is None or since < settings.load_weeks:
        when = f"week {since}" if since is not None else "no date on record"
        text = f"No load before week {settings.load_weeks} after the operation ({when})."
        yield _bar("load.weeks", text, PROSPER)


def incision(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Load pulls on an incision, or a donor incision, that is not recorded as healed."""
    for operation in operations_on(on_day(facts, settings), limb):
        donor = open_donor_site(operation)
        if incision_is_open(operation) or (donor is not None and limb in limbs_of([donor])):
            text = "An incision there is not recorded as healed: no load on it."
            yield _bar("load.incision", text, NO_SOURCE)


def broken_skin(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Load pulls across skin that radiation has broken."""
    for course in known_radiations(facts.client, facts.day):
        if conditions.skin_today(facts, course, settings) and limb in limbs_of(course.sites):
            yield _bar("load.skin", "No load that pulls on skin broken by radiation.", NO_SOURCE)


def abdomen_weeks(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """After an operation of abdomen or pelvis nothing is lifted before its weeks, or before the
    date of a surgeon's clearance for load."""
    gates = abdomen.gates(facts, settings)
    if not gates:
        return
    yield PermissionFinding(
        Mode.HANDS_ON,
        clinical_reason("abdomen.no_breath_holding", abdomen.BREATH, abdomen.HEALED),
        caution=True,
    )
    if is_cleared_for_load(on_day(facts, settings), main_site(limb), surgeon=True, dated=True):
        return
    for gate in gates:
        text = f"Load {gate}, or from the date (from_date) of a surgeon's clearance for load."
        yield _bar("load.abdomen_weeks", text, abdomen.WEEKS)


def flap(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """After a flap the trunk waits for what curls wait for."""
    if limb is LoadedLimb.TRUNK:
        for reason in abdomen.flap_bars(on_day(facts, settings)):
            yield PermissionFinding(Mode.NOT_TODAY, reason)


# What curls and loaded stretches wait for as well; what loaded stretches do, curls by a
# clearance of their own; what concerns the load of the limb alone.
SHARED_RULES: tuple[LoadRule, ...] = (
    history,
    restricted,
    weeks,
    incision,
    broken_skin,
    load_conditions.metastasis,
    free_words.for_load,
    blood.for_load,
    vessels_and_devices.for_load,
    nerves_and_heart.for_load,
)
LOADED_RULES: tuple[LoadRule, ...] = (abdomen_weeks, flap, vessels_and_devices.stoma_load)
LIMB_RULES: tuple[LoadRule, ...] = (
    load_conditions.fragile_bone,
    load_conditions.lymphedema,
    load_conditions.swelling_measured,
    load_conditions.swelling_today,
    load_conditions.pain,
)


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
