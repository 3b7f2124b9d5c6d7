"""After an operation of abdomen or pelvis: weeks before curls and load, tilts once healed.

After an abdominal flap more: walking and breathing, then what the surgeon clears.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.clinical.domain.abdomen import abdomen_is_open, abdominal_operations, flaps
from clients.clinical.domain.conditions import conditions_of_kind, is_within
from clients.clinical.domain.limbs import TRUNK_REGIONS, LoadedLimb, main_site
from clients.clinical.domain.operations import weeks_since
from clients.clinical.domain.orders_in_force import (
    ClientOnDay,
    clearances_in_force,
    is_cleared_for_load,
)
from clients.health.domain.content import BodySite, Condition, Operation
from clients.health.domain.sites import covers
from clients.health.domain.terms import ConditionKind, OperationKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.findings import (
    COMMON_PRACTICE,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode, Region, Technique

LEAFLETS = "patient leaflets (UHN; OncoLink 2005; weeks vary), practice policy"
WEEKS = (
    "practice policy, a clearance may shorten; informed by Schaaf, Hernia 2022;26:727 (2 weeks "
    "after keyhole, 4 after open surgery for more than half of 127 experts), NSWOC (stoma: no "
    "heavy lifting for 3 months), clinic pages (6 weeks, weak)"
)
HEALED = f"{COMMON_PRACTICE}, no source"
BREATH = "Exhale with the effort: no breath is held before the abdomen may be loaded."
TILTS = (StretchTag.TILT, StretchTag.KNEE_ROLL)


def weeks_of(operation: Operation, settings: PermissionSettings) -> int:
    """Weeks before curls and load after one operation: by its kind and its approach, the
    later of both; with neither in the practice's table the strictest of all."""
    by_kind, by_approach = settings.abdominal_weeks_by_kind, settings.abdominal_weeks_by_approach
    known = [by_kind[operation.kind]] if operation.kind in by_kind else []
    if operation.approach is not None and operation.approach in by_approach:
        known.append(by_approach[operation.approach])
    return max(known or [*by_kind.values(), *by_approach.values()])


def gates(facts: PermissionFacts, settings: PermissionSettings) -> list[str]:
    """The gates in weeks that are not passed yet, in words; an unknown date passes none."""
    texts = []
    for operation in abdominal_operations(on_day(facts, settings)):
        since, wanted = weeks_since([operation], facts.day), weeks_of(operation, settings)
        if since is None or since < wanted:
            when = f"week {since}" if since is not None else "no date on record"
            kind = operation.kind.value.replace("_", " ")
            texts.append(f"not before week {wanted} after the operation ({kind}, {when})")
    for stoma in stomas(facts):
        wanted = settings.abdominal_weeks_by_kind.get(OperationKind.STOMA, 0)
        if is_within(stoma.since, facts.day, wanted * 7):
            texts.append(f"not before week {wanted} after the stoma was made")
    return texts


def stomas(facts: PermissionFacts) -> list[Condition]:
    """The stomas said as a condition; one said as an operation counts by its own weeks."""
    return list(conditions_of_kind(facts.client, ConditionKind.STOMA, facts.day))


def curls_are_cleared(known: ClientOnDay, *, dated: bool = False) -> bool:
    """Whether the surgeon clears curls, or load, for the abdomen; ``dated``: from a named day."""
    named = any(
        site.region is Region.ABDOMEN
        for order in clearances_in_force(known, OrderSubject.CURLS)
        if order.from_date is not None or not dated
        for site in order.sites
    )
    trunk = main_site(LoadedLimb.TRUNK)
    return named or is_cleared_for_load(known, trunk, surgeon=True, dated=dated)


def after_operation(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Curls by weeks, tilts and knee rolls once healed; after a flap all waits for clearance."""
    known = on_day(facts, settings)
    operations = abdominal_operations(known)
    if not (operations or stomas(facts)) or target.tagged(StretchTag.BREATHING, StretchTag.WALKING):
        return
    yield from _breath(facts, target, settings)
    if target.tagged(StretchTag.CURL):
        yield from _curls(facts, settings)
    elif target.tagged(*TILTS):
        yield from _tilts(facts, operations, settings)
    elif flaps(known) and not _stretching(known, target):
        text = "After an abdominal flap walking and breathing only, until the surgeon's clearance."
        yield _bar("flap.no_clearance", text, LEAFLETS)


def flap_bars(known: ClientOnDay) -> Iterator[Reason]:
    """What curls and load of the trunk wait for after a flap, whatever the week."""
    if flaps(known) and not curls_are_cleared(known):
        text = "Curls and load of the trunk after an abdominal flap need the surgeon's clearance."
        yield clinical_reason("flap.curls_no_clearance", text, LEAFLETS)
    if any(flap.stands_erect is not True for flap in flaps(known)):
        text = "No curls or load of the trunk before it is recorded that the client stands erect."
        yield clinical_reason("flap.erect", text, LEAFLETS)


def _curls(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    known = on_day(facts, settings)
    for reason in flap_bars(known):
        yield PermissionFinding(Mode.NOT_TODAY, reason)
    if stomas(facts) and not curls_are_cleared(known):
        text = "Curls with a stoma need the surgeon's clearance."
        yield _bar("stoma.curls", text, WEEKS)
    if not curls_are_cleared(known, dated=True):
        for gate in gates(facts, settings):
            text = f"Curls {gate}, or from the date (from_date) of a surgeon's clearance for them."
            yield _bar("abdomen.curls_weeks", text, WEEKS)


def _tilts(
    facts: PermissionFacts, operations: Iterable[Operation], settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    known = on_day(facts, settings)
    if any(abdomen_is_open(operation) for operation in operations):
        text = "Tilts and knee rolls wait until the incision in the abdomen is recorded as healed."
        yield _bar("abdomen.tilts_healed", text, HEALED)
    if flaps(known) and not _tilts_are_cleared(known):
        text = "Tilts and knee rolls after an abdominal flap need the surgeon's clearance."
        yield _bar("flap.tilts", text, LEAFLETS)
    if gates(facts, settings):
        text = "Tilts and knee rolls by the client alone before the abdomen may be loaded."
        reason = clinical_reason("abdomen.tilts_alone", text, HEALED)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def _tilts_are_cleared(known: ClientOnDay) -> bool:
    orders = clearances_in_force(known, OrderSubject.PELVIC_TILTS)
    return any(site.region is Region.ABDOMEN for order in orders for site in order.sites)


def _stretching(known: ClientOnDay, target: StretchTarget) -> bool:
    """Clearance for stretching that names the abdomen, or the region that is stretched."""
    sites: list[BodySite] = []
    for order in clearances_in_force(known, OrderSubject.STRETCHING):
        sites.extend(order.sites)
    return covers(sites, target.main) or any(site.region is Region.ABDOMEN for site in sites)


def _breath(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Before the gate no breath is held in effort: contract-relax, and what works the trunk."""
    effort = target.technique is Technique.CONTRACT_RELAX
    trunk = any(site.region in TRUNK_REGIONS for site in target.pulls)
    if (effort or trunk) and gates(facts, settings):
        reason = clinical_reason("abdomen.no_breath_holding", BREATH, HEALED)
        yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """The same for the whole session, so that the plan says it once at its head."""
    if gates(facts, settings):
        yield clinical_reason("abdomen.no_breath_holding", BREATH, HEALED)


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
