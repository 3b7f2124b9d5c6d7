"""Time since surgery and how it heals: the weeks, the clearances, drains and incisions."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.limbs import ARM_REGIONS
from clients.clinical.domain.operations import (
    drains_are_in,
    incision_is_open,
    known_operations,
    open_donor_site,
    operated_sites,
)
from clients.clinical.domain.orders_in_force import (
    is_cleared,
    technique_is_cleared,
    undated_for_technique,
)
from clients.health.domain.content import BodySite, Operation, RangeLimit
from clients.health.domain.sites import overlapping_sites, sides_meet, site_text, technique_text
from clients.health.domain.terms import OperationKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain import clearances
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
from practice.core.terms import Mode, Region, Side, Technique

POLICY = f"{PRACTICE_POLICY}, from {COMMON_PRACTICE}"
LEAFLETS = "leaflets of national bodies for patients after breast surgery"


def techniques(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Contract-relax and passive: not before the weeks, and never without clearance."""
    if not target.assisted_only:
        return
    touching: list[tuple[Operation, list[BodySite]]] = []
    for operation in known_operations(facts.client, facts.day):
        sites = overlapping_sites(
            operated_sites(operation, settings.operation_regions), target.worked
        )
        if sites:
            touching.append((operation, sites))
    if not touching:
        return
    needed = [site for _, sites in touching for site in sites]
    passive = target.technique is Technique.PASSIVE
    weeks = settings.passive_weeks if passive else settings.contract_relax_weeks
    name = technique_text(target.technique)
    dates = [operation.on for operation, _ in touching]
    if None in dates:
        text = f"The date of an operation there is not known: no {name} stretching."
        yield _self_directed("surgery.date_unknown", text, PRACTICE_POLICY)
        return
    days = max(0, min((facts.day - on).days for on in dates if on is not None))
    early = days < weeks * 7
    if technique_is_cleared(on_day(facts, settings), target.technique, needed, early=early):
        return
    if early:
        text = (
            f"{days // 7} weeks since surgery there: {name} stretching from week {weeks}, or "
            "from the date (from_date) that a surgeon's order naming the technique gives."
        )
        yield _self_directed("surgery.weeks", text, POLICY)
        for order in undated_for_technique(on_day(facts, settings), target.technique, needed):
            text = (
                f"The order of {order.given_on.isoformat()} by {order.prescriber_name} names "
                f"{name} but gives no date (from_date): before week {weeks} it does not count."
            )
            yield _self_directed("clearance.no_start_date", text, POLICY)
    for reason in clearances.void_for_technique(facts, settings, target.technique, needed):
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)
    text = f"No surgeon's clearance that counts today covers {name} stretching there."
    yield _self_directed("surgery.no_clearance", text, POLICY)


def resisted_chest(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Contract-relax that resists the pectoral: with an expander in, clearance first."""
    if not target.resists_pectoral:
        return
    for operation in known_operations(facts.client, facts.day):
        may_be_in = operation.expander_in or (
            operation.expander_in is None
            and operation.kind in (OperationKind.EXPANDER, OperationKind.MASTECTOMY)
        )
        if not may_be_in or not sides_meet(operation.side, target.side):
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        chest = [BodySite(region=Region.CHEST, side=side)]
        if not is_cleared(on_day(facts, settings), OrderSubject.RESISTED_CHEST_WORK, chest):
            text = (
                "This contract-relax is resisted work of the pectoral; an expander is in, or it is "
                "not recorded that none is, and no clearance stands for it."
            )
            yield _self_directed("surgery.expander", text, POLICY)


def arm_height(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Drains in or the first days: not above shoulder height, unless the surgeon allows it."""
    if not target.raises_arm:
        return
    for operation in _upper(facts, target, settings):
        new = operation.on is None or (facts.day - operation.on).days < settings.arm_limit_days
        if not drains_are_in(operation) and not new:
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        arm = [BodySite(region=Region.SHOULDER, side=side)]
        if is_cleared(on_day(facts, settings), OrderSubject.ARM_ABOVE_SHOULDER, arm):
            continue
        why = "drains are not recorded as out" if drains_are_in(operation) else "so soon"
        text = (
            f"The arm not above {settings.arm_limit_degrees:g} degrees: {why} "
            f"(at least the first {settings.arm_limit_days} days)."
        )
        limits = tuple(
            RangeLimit(movement=movement, degrees=settings.arm_limit_degrees)
            for movement in ARM_RAISES
        )
        reason = clinical_reason("surgery.arm_height", text, LEAFLETS)
        yield PermissionFinding(Mode.HANDS_ON, reason, limits=limits)


def incision(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """An incision not recorded as healed: that side self-directed, no chest stretch on it."""
    for operation in known_operations(facts.client, facts.day):
        if not incision_is_open(operation):
            continue
        if not any(sides_meet(site.side, operation.side) for site in target.worked):
            continue
        text = "An incision on that side is not recorded as healed: nothing by hand there."
        yield _self_directed("surgery.incision", text, POLICY)
        if target.tagged(StretchTag.CHEST) and sides_meet(target.side, operation.side):
            text = "No chest stretch on a side whose incision is not recorded as healed."
            yield _not_today("surgery.incision_chest", text, POLICY)


def donor_incision(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A donor incision, front or back: nothing that pulls or presses on it before it is healed."""
    if target.tagged(StretchTag.BREATHING, StretchTag.WALKING):
        return
    for operation in known_operations(facts.client, facts.day):
        donor = open_donor_site(operation)
        if donor is None:
            continue
        across = donor.region is Region.UPPER_BACK and target.tagged(StretchTag.CROSS_BODY)
        if overlapping_sites([donor], target.worked) or (
            across and sides_meet(donor.side, target.side)
        ):
            text = f"The donor incision ({site_text(donor)}) is not recorded as healed: nothing "
            text += "that pulls or presses on it."
            yield _not_today("surgery.donor_incision", text, POLICY)


def head_and_neck(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """After head and neck surgery neck stretches on that side wait for healing and clearance."""
    if not target.neck:
        return
    for operation in known_operations(facts.client, facts.day):
        if operation.kind is not OperationKind.HEAD_AND_NECK:
            continue
        if not sides_meet(operation.side, target.side):
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        neck = [BodySite(region=Region.HEAD_AND_NECK, side=side)]
        healed = not incision_is_open(operation)
        if not healed or not is_cleared(on_day(facts, settings), OrderSubject.STRETCHING, neck):
            text = "After head and neck surgery neck stretches wait for healing and clearance."
            yield _not_today("surgery.neck", text, POLICY)


def _upper(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[Operation]:
    """The operations on or near the arm that is raised."""
    for operation in known_operations(facts.client, facts.day):
        regions = {site.region for site in operated_sites(operation, settings.operation_regions)}
        if regions & ARM_REGIONS and sides_meet(operation.side, target.side):
            yield operation


def _self_directed(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.SELF_DIRECTED, clinical_reason(code, text, source))


def _not_today(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
