"""Restrictions by a surgeon or physician: they narrow until they end or are lifted."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Limit, Order
from clients.domain.permissions.findings import (
    ARM_RAISES,
    ARM_REGIONS,
    Finding,
    Target,
    clinical,
    overlap,
    spoken,
    together,
)
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.leave import stands
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import StretchTag
from clients.domain.terms import OrderKind, OrderSubject
from practice.domain.terms import Mode, Technique

STILL = {
    Mode.HANDS_ON: "hands-on still",
    Mode.SELF_DIRECTED: "self-directed only",
    Mode.NOT_TODAY: "not at all",
}


def restrictions(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Every restriction that stands that day and speaks about this stretch."""
    for order in facts.client.orders:
        if order.kind is not OrderKind.RESTRICTION or not stands(order, facts.day):
            continue
        if not _about(order, target):
            continue
        limits = tuple(limit for limit in order.limits if _moves(limit, target))
        reason = clinical("order.restriction", _told(order), f"{order.giver.value}'s order")
        yield Finding(order.widest, reason, limits=limits)


def _told(order: Order) -> str:
    """What is restricted, to what, until when, and the paper's own words."""
    what = [
        ", ".join(subject.value.replace("_", " ") for subject in order.subjects),
        ", ".join(spoken(technique) for technique in sorted(order.techniques)),
        together(order.sites),
    ]
    to = [STILL[order.widest]]
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
        f"Restricted by {order.given_by} on {order.given_on.isoformat()}: "
        f"{'; '.join(part for part in what if part) or 'everything'}: {', '.join(to)}; {until}."
    )
    return f"{text} The paper says: {order.text}" if order.text else text


def _about(order: Order, target: Target) -> bool:
    if order.techniques and target.technique not in order.techniques:
        return False
    if order.sites and not overlap(order.sites, target.worked):
        return False
    return not order.subjects or any(_subject(subject, target) for subject in order.subjects)


def _subject(subject: OrderSubject, target: Target) -> bool:
    if subject is OrderSubject.PELVIC_TILTS:
        return target.tagged(StretchTag.TILT)
    if subject is OrderSubject.CURLS:
        return target.tagged(StretchTag.CURL)
    if subject is OrderSubject.ARM_ABOVE_SHOULDER:
        return target.raises_arm
    if subject is OrderSubject.RESISTED_CHEST_WORK:
        chest = target.tagged(StretchTag.CHEST)
        return chest and target.technique is Technique.CONTRACT_RELAX
    return True


def _moves(limit: Limit, target: Target) -> bool:
    if limit.movement in target.spec.movements:
        return True
    near_arm = target.raises_arm or target.spec.region in ARM_REGIONS
    return limit.movement in ARM_RAISES and near_arm
