"""Which orders stand on a day, and whether leave opens a gate."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from clients.domain.health import Operation, Order, Site
from clients.domain.permissions.findings import (
    PRACTICE_POLICY,
    clinical,
    covers,
    operated_sites,
    operations,
    overlap,
)
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.terms import Giver, OrderKind, OrderSubject
from practice.domain.reasons import Reason
from practice.domain.terms import Technique


def stands(order: Order, day: date) -> bool:
    """Whether an order is in force: begun, not ended, not lifted."""
    if (order.from_date or order.given_on) > day or order.given_on > day:
        return False
    if order.expires_on is not None and order.expires_on < day:
        return False
    return order.lifted_on is None or order.lifted_on > day


def voiding(order: Order, facts: Facts, settings: PermissionSettings) -> list[Operation]:
    """The later operations that void it.

    An operation on the same day counts as later, and one of unknown date as later
    where it touches the order's sites: it cannot be told that it was not.
    """
    return [
        operation
        for operation in operations(facts)
        if (operation.on is not None and operation.on >= order.given_on)
        or (operation.on is None and overlap(operated_sites(operation, settings), order.sites))
    ]


def void(order: Order, facts: Facts, settings: PermissionSettings) -> bool:
    """Whether a later operation voids it."""
    return bool(voiding(order, facts, settings))


def voided(facts: Facts, settings: PermissionSettings) -> Iterator[tuple[Order, Reason]]:
    """The leaves and clearances still running that an operation voided, and why they are void."""
    for order in facts.client.orders:
        if order.kind not in (OrderKind.LEAVE, OrderKind.CLEARANCE):
            continue
        operated = voiding(order, facts, settings) if stands(order, facts.day) else []
        if operated:
            dates = [operation.on for operation in operated if operation.on is not None]
            when = f"of {max(dates).isoformat()}" if dates else "of unknown date"
            text = (
                f"The {order.kind.value} of {order.given_on.isoformat()} by {order.given_by} does "
                f"not count any more: the operation {when} came on that day or after it. A new "
                "one is needed."
            )
            yield order, clinical("leave.void", text, PRACTICE_POLICY)


def warnings(facts: Facts, settings: PermissionSettings) -> Iterator[Reason]:
    """Papers that seem to stand and do not."""
    for _, reason in voided(facts, settings):
        yield reason


def void_for_technique(
    facts: Facts, settings: PermissionSettings, technique: Technique, sites: list[Site]
) -> Iterator[Reason]:
    """The same for the leaves that would have opened a technique on these sites."""
    for order, reason in voided(facts, settings):
        if _for_stretching(order, technique, sites):
            yield reason


def undated_for_technique(
    facts: Facts, settings: PermissionSettings, technique: Technique, sites: list[Site]
) -> Iterator[Order]:
    """The leaves that name the technique on these sites but no date from which it may be."""
    for order in leaves(facts, settings, OrderSubject.STRETCHING):
        named = technique in order.techniques and order.from_date is None
        if named and _for_stretching(order, technique, sites):
            yield order


def _for_stretching(order: Order, technique: Technique, sites: list[Site]) -> bool:
    return (
        order.giver is Giver.SURGEON
        and OrderSubject.STRETCHING in order.subjects
        and (not order.techniques or technique in order.techniques)
        and bool(overlap(order.sites, sites))
    )


def leaves(
    facts: Facts, settings: PermissionSettings, subject: OrderSubject, *, surgeon: bool = True
) -> Iterator[Order]:
    """The leaves for a subject that stand that day and no operation voids."""
    for order in facts.client.orders:
        if order.kind is not OrderKind.LEAVE or subject not in order.subjects:
            continue
        if surgeon and order.giver is not Giver.SURGEON:
            continue
        if stands(order, facts.day) and not void(order, facts, settings):
            yield order


def given(
    facts: Facts,
    settings: PermissionSettings,
    subject: OrderSubject,
    sites: Iterable[Site],
    *,
    surgeon: bool = True,
) -> bool:
    """Whether leave stands for every one of these sites, from one paper or several."""
    papers = [site for o in leaves(facts, settings, subject, surgeon=surgeon) for site in o.sites]
    return bool(papers) and all(covers(papers, site) for site in sites)


def given_for_technique(
    facts: Facts,
    settings: PermissionSettings,
    technique: Technique,
    sites: Iterable[Site],
    *,
    early: bool,
) -> bool:
    """Whether the surgeon lets a technique be used on these sites.

    ``early``: before the practice's number of weeks only an order that names the
    technique and its date counts, from that date on.
    """
    papers: list[Site] = []
    for order in leaves(facts, settings, OrderSubject.STRETCHING):
        if technique in order.techniques:
            counts = not early or order.from_date is not None
        else:
            counts = not early and not order.techniques
        if counts:
            papers.extend(order.sites)
    return bool(papers) and all(covers(papers, site) for site in sites)
