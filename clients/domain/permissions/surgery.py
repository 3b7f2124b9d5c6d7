"""Time since surgery and how it heals: the weeks, the leave, drains and incisions."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Limit, Operation, Site
from clients.domain.permissions import leave
from clients.domain.permissions.findings import (
    ARM_RAISES,
    ARM_REGIONS,
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    Finding,
    Target,
    clinical,
    operated_sites,
    operations,
    overlap,
    sides_meet,
    spoken,
)
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import StretchTag
from clients.domain.terms import OperationKind, OrderSubject
from practice.domain.terms import Mode, Region, Side, Technique

POLICY = f"{PRACTICE_POLICY}, from {COMMON_PRACTICE}"
LEAFLETS = "leaflets of national bodies for patients after breast surgery"


def techniques(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Contract-relax and passive: not before the weeks, and never without leave."""
    if not target.assisted_only:
        return
    touching: list[tuple[Operation, list[Site]]] = []
    for operation in operations(facts):
        sites = overlap(operated_sites(operation, settings), target.worked)
        if sites:
            touching.append((operation, sites))
    if not touching:
        return
    needed = [site for _, sites in touching for site in sites]
    passive = target.technique is Technique.PASSIVE
    weeks = settings.passive_weeks if passive else settings.contract_relax_weeks
    name = spoken(target.technique)
    dates = [operation.on for operation, _ in touching]
    if None in dates:
        text = f"The date of an operation there is not known: no {name} stretching."
        yield _own("surgery.date_unknown", text, PRACTICE_POLICY)
        return
    days = min((facts.day - on).days for on in dates if on is not None)
    early = days < weeks * 7
    if leave.given_for_technique(facts, settings, target.technique, needed, early=early):
        return
    if early:
        text = (
            f"{days // 7} weeks since surgery there: {name} stretching from week {weeks}, or "
            "from the date (from_date) that a surgeon's order naming the technique gives."
        )
        yield _own("surgery.weeks", text, POLICY)
        for order in leave.undated_for_technique(facts, settings, target.technique, needed):
            text = (
                f"The order of {order.given_on.isoformat()} by {order.given_by} names {name} but "
                f"gives no date (from_date): before week {weeks} it does not count."
            )
            yield _own("leave.no_date", text, POLICY)
    for reason in leave.void_for_technique(facts, settings, target.technique, needed):
        yield Finding(Mode.SELF_DIRECTED, reason)
    text = f"No surgeon's leave that counts today covers {name} stretching there."
    yield _own("surgery.no_leave", text, POLICY)


def resisted_chest(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Contract-relax of the chest is resisted pectoral work: with an expander in, leave first."""
    if target.technique is not Technique.CONTRACT_RELAX or not target.tagged(StretchTag.CHEST):
        return
    for operation in operations(facts):
        may_be_in = operation.expander_in or (
            operation.expander_in is None
            and operation.kind in (OperationKind.EXPANDER, OperationKind.MASTECTOMY)
        )
        if not may_be_in or not sides_meet(operation.side, target.side):
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        chest = [Site(region=Region.CHEST, side=side)]
        if not leave.given(facts, settings, OrderSubject.RESISTED_CHEST_WORK, chest):
            text = (
                "Contract-relax of the chest is resisted pectoral work; an expander is in, or it "
                "is not recorded that none is, and no leave stands for it."
            )
            yield _own("surgery.expander", text, POLICY)


def arm_height(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Drains in or the first days: not above shoulder height, unless the surgeon lets her."""
    if not target.raises_arm:
        return
    for operation in _upper(facts, target, settings):
        new = operation.on is None or (facts.day - operation.on).days < settings.arm_limit_days
        if operation.drains_out is True and not new:
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        arm = [Site(region=Region.SHOULDER, side=side)]
        if leave.given(facts, settings, OrderSubject.ARM_ABOVE_SHOULDER, arm):
            continue
        why = "drains are not recorded as out" if operation.drains_out is not True else "so soon"
        text = (
            f"The arm not above {settings.arm_limit_degrees:g} degrees: {why} "
            f"(at least the first {settings.arm_limit_days} days)."
        )
        limits = tuple(
            Limit(movement=movement, degrees=settings.arm_limit_degrees) for movement in ARM_RAISES
        )
        reason = clinical("surgery.arm_height", text, LEAFLETS)
        yield Finding(Mode.HANDS_ON, reason, limits=limits)


def incision(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """An incision not recorded as healed: that side self-directed, no chest stretch on it."""
    for operation in operations(facts):
        if operation.incision_healed is True:
            continue
        if not any(sides_meet(site.side, operation.side) for site in target.worked):
            continue
        text = "An incision on that side is not recorded as healed: nothing by hand there."
        yield _own("surgery.incision", text, POLICY)
        if target.tagged(StretchTag.CHEST) and sides_meet(target.side, operation.side):
            text = "No chest stretch on a side whose incision is not recorded as healed."
            yield _bar("surgery.incision_chest", text, POLICY)


def latissimus(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Cross-body pulls on the donor site of a latissimus reconstruction."""
    if not target.tagged(StretchTag.CROSS_BODY):
        return
    for operation in operations(facts):
        if (
            operation.kind is OperationKind.LATISSIMUS_RECONSTRUCTION
            and operation.donor_incision_healed is not True
            and sides_meet(operation.side, target.side)
        ):
            text = "Not before the donor incision on her back is recorded as healed."
            yield _bar("surgery.donor_incision", text, POLICY)


def head_and_neck(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """After head and neck surgery neck stretches on that side wait for healing and leave."""
    if not target.neck:
        return
    for operation in operations(facts):
        if operation.kind is not OperationKind.HEAD_AND_NECK:
            continue
        if not sides_meet(operation.side, target.side):
            continue
        side = operation.side if target.side is Side.BOTH else target.side
        neck = [Site(region=Region.HEAD_AND_NECK, side=side)]
        healed = operation.incision_healed is True
        if not healed or not leave.given(facts, settings, OrderSubject.STRETCHING, neck):
            text = "After head and neck surgery neck stretches wait for healing and leave."
            yield _bar("surgery.neck", text, POLICY)


def _upper(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Operation]:
    """The operations on or near the arm that is raised."""
    for operation in operations(facts):
        regions = {site.region for site in operated_sites(operation, settings)}
        if regions & ARM_REGIONS and sides_meet(operation.side, target.side):
            yield operation


def _own(code: str, text: str, source: str) -> Finding:
    return Finding(Mode.SELF_DIRECTED, clinical(code, text, source))


def _bar(code: str, text: str, source: str) -> Finding:
    return Finding(Mode.NOT_TODAY, clinical(code, text, source))
