"""Restrictions by a surgeon or physician: they narrow until they end or are lifted."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.limbs import ARM_REGIONS
from clients.clinical.domain.orders_in_force import in_force, unsettled_restrictions
from clients.health.domain.content import RangeLimit
from clients.health.domain.sites import overlapping_sites, sites_text, technique_text
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject
from clients.permissions.domain.findings import (
    ARM_RAISES,
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
from practice.core.terms import Mode

MODE_TEXT = {
    Mode.HANDS_ON: "hands-on still",
    Mode.SELF_DIRECTED: "self-directed only",
    Mode.NOT_TODAY: "not at all",
}


def restrictions(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Every restriction that stands that day and speaks about this stretch."""
    for order in facts.client.orders:
        if order.kind is not OrderKind.RESTRICTION or not in_force(order, facts.day):
            continue
        if not _about(order, target):
            continue
        limits = tuple(limit for limit in order.limits if _moves(limit, target))
        reason = clinical_reason(
            "order.restriction", restriction_text(order), f"{order.prescriber.value}'s order"
        )
        yield PermissionFinding(order.widest_mode, reason, limits=limits)


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """Restrictions with a clearance of a later date: somebody names which stands (ruling 46)."""
    for restriction, clearance in unsettled_restrictions(on_day(facts, settings)):
        text = (
            f"The restriction of {restriction.given_on.isoformat()} by "
            f"{restriction.prescriber_name} is older than the clearance of "
            f"{clearance.given_on.isoformat()} by {clearance.prescriber_name}. It closes until a "
            "practitioner who may evaluate names which of the two stands."
        )
        yield clinical_reason("order.unsettled", text, PRACTICE_POLICY)


def restriction_text(order: MedicalOrder) -> str:
    """What is restricted, to what, until when, and the paper's own words."""
    what = [
        ", ".join(subject.value.replace("_", " ") for subject in order.subjects),
        ", ".join(technique_text(technique) for technique in sorted(order.techniques)),
        sites_text(order.sites),
    ]
    to = [MODE_TEXT[order.widest_mode]]
    to += [
        f"{limit.movement.value.replace('_', ' ')} to {limit.degrees:g} degrees"
        for limit in sorted(order.limits)
    ]
    if order.expires_on is not None:
        until = f"until {order.expires_on.isoformat()}"
    else:
        lifted = order.lifted_on
        until = f"until {lifted.isoformat()}, when it is lifted" if lifted else "until it is lifted"
    text = (
        f"Restricted by {order.prescriber_name} on {order.given_on.isoformat()}: "
        f"{'; '.join(part for part in what if part) or 'everything'}: {', '.join(to)}; {until}."
    )
    return f"{text} The order says: {order.text}" if order.text else text


def _about(order: MedicalOrder, target: StretchTarget) -> bool:
    if order.techniques and target.technique not in order.techniques:
        return False
    if order.sites and not overlapping_sites(order.sites, target.worked):
        return False
    return not order.subjects or any(_subject(subject, target) for subject in order.subjects)


def _subject(subject: OrderSubject, target: StretchTarget) -> bool:
    if subject is OrderSubject.PELVIC_TILTS:
        return target.tagged(StretchTag.TILT, StretchTag.KNEE_ROLL)
    if subject is OrderSubject.CURLS:
        return target.tagged(StretchTag.CURL)
    if subject is OrderSubject.LOAD:
        return target.tagged(StretchTag.CURL, StretchTag.LOADING)
    if subject is OrderSubject.ARM_ABOVE_SHOULDER:
        return target.raises_arm
    if subject is OrderSubject.RESISTED_CHEST_WORK:
        return target.resists_pectoral
    return True


def _moves(limit: RangeLimit, target: StretchTarget) -> bool:
    if limit.movement in target.spec.movements:
        return True
    near_arm = target.raises_arm or target.spec.region in ARM_REGIONS
    return limit.movement in ARM_RAISES and near_arm
