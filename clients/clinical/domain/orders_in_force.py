"""Which orders stand on a day, which an operation voids, and what each opens or closes. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import (
    RegionsByOperation,
    known_operations,
)
from clients.health.domain.content import BodySite, Operation
from clients.health.domain.sites import covers, overlapping_sites
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.core.terms import Mode, Technique


@dataclass(frozen=True, slots=True)
class ClientOnDay:
    """A client's facts as they bear on one local day."""

    client: ClientFacts
    day: date
    regions: RegionsByOperation


LOADING_SUBJECTS = frozenset(
    {
        OrderSubject.CURLS,
        OrderSubject.RESISTED_CHEST_WORK,
        OrderSubject.WORK_AT_BONE_SITE,
        OrderSubject.WORK_AFTER_CLOT,
    }
)


def in_force(order: MedicalOrder, day: date) -> bool:
    """Whether an order is in force: begun, not ended, not lifted."""
    begins = order.from_date or order.given_on
    if order.kind is not OrderKind.RESTRICTION:
        begins = max(begins, order.given_on)
    if begins > day:
        return False
    if order.expires_on is not None and order.expires_on < day:
        return False
    return order.lifted_on is None or order.lifted_on > day


def voiding_operations(order: MedicalOrder, known: ClientOnDay) -> list[Operation]:
    """The later operations that void it.

    An operation on the same day counts as later, and so does one of which not even the year is
    known: it cannot be told that it was not.
    """
    return [
        operation
        for operation in known_operations(known.client, known.day)
        if operation.on is None or operation.on >= order.given_on
    ]


def is_void(order: MedicalOrder, known: ClientOnDay) -> bool:
    """Whether a later operation voids it."""
    return bool(voiding_operations(order, known))


def voided_clearances(known: ClientOnDay) -> Iterator[tuple[MedicalOrder, list[Operation]]]:
    """The clearances still running that an operation voided, with the operations."""
    for order in known.client.orders:
        if order.kind is not OrderKind.CLEARANCE:
            continue
        operated = voiding_operations(order, known) if in_force(order, known.day) else []
        if operated:
            yield order, operated


def clearances_in_force(
    known: ClientOnDay, subject: OrderSubject, *, surgeon: bool = True
) -> Iterator[MedicalOrder]:
    """The clearances for a subject that stand that day and no operation voids."""
    for order in known.client.orders:
        if order.kind is not OrderKind.CLEARANCE or subject not in order.subjects:
            continue
        if surgeon and order.prescriber is not Prescriber.SURGEON:
            continue
        if in_force(order, known.day) and not is_void(order, known):
            yield order


def is_for_stretching(order: MedicalOrder, technique: Technique, sites: list[BodySite]) -> bool:
    """Whether it is a surgeon's clearance that lets a technique be used on some of these sites."""
    return (
        order.prescriber is Prescriber.SURGEON
        and OrderSubject.STRETCHING in order.subjects
        and (not order.techniques or technique in order.techniques)
        and bool(overlapping_sites(order.sites, sites))
    )


def undated_for_technique(
    known: ClientOnDay, technique: Technique, sites: list[BodySite]
) -> Iterator[MedicalOrder]:
    """The clearances that name the technique on these sites but no date from which it may be."""
    for order in clearances_in_force(known, OrderSubject.STRETCHING):
        named = technique in order.techniques and order.from_date is None
        if named and is_for_stretching(order, technique, sites):
            yield order


def is_cleared(
    known: ClientOnDay, subject: OrderSubject, sites: Iterable[BodySite], *, surgeon: bool = True
) -> bool:
    """Whether clearance stands for every one of these sites, from one paper or several."""
    cleared_sites = [
        site
        for order in clearances_in_force(known, subject, surgeon=surgeon)
        for site in order.sites
    ]
    return bool(cleared_sites) and all(covers(cleared_sites, site) for site in sites)


def technique_is_cleared(
    known: ClientOnDay, technique: Technique, sites: Iterable[BodySite], *, early: bool
) -> bool:
    """Whether the surgeon lets a technique be used on these sites.

    ``early``: before the practice's number of weeks only an order that names the
    technique and its date counts, from that date on.
    """
    cleared_sites: list[BodySite] = []
    for order in clearances_in_force(known, OrderSubject.STRETCHING):
        if technique in order.techniques:
            counts = not early or order.from_date is not None
        else:
            counts = not early and not order.techniques
        if counts:
            cleared_sites.extend(order.sites)
    return bool(cleared_sites) and all(covers(cleared_sites, site) for site in sites)


def is_cleared_for_load(
    known: ClientOnDay, site: BodySite | None = None, *, surgeon: bool = False, dated: bool = False
) -> bool:
    """Whether a clearance for load stands for a site; without one, for anything at all.

    One that names no sites covers the whole body. ``surgeon``: only a surgeon's counts.
    ``dated``: only one that says itself from which day.
    """
    orders = [
        order
        for order in clearances_in_force(known, OrderSubject.LOAD, surgeon=surgeon)
        if order.from_date is not None or not dated
    ]
    if site is None:
        return bool(orders)
    named = [one for order in orders for one in order.sites]
    return any(not order.sites for order in orders) or covers(named, site)


def names_site_for_load(known: ClientOnDay, sites: Iterable[BodySite], given_from: date) -> bool:
    """Whether clearances for load given since a day name every one of these sites themselves."""
    named = [
        one
        for order in clearances_in_force(known, OrderSubject.LOAD, surgeon=False)
        if order.given_on >= given_from
        for one in order.sites
    ]
    return all(covers(named, site) for site in sites)


def load_restrictions(known: ClientOnDay) -> Iterator[MedicalOrder]:
    """The restrictions that stand that day and close loaded work at their sites.

    One about load closes it; one about anything else that load is made of does where it
    leaves nothing. Those about stretching and its techniques say nothing of load.
    """
    for order in known.client.orders:
        if order.kind is not OrderKind.RESTRICTION or not in_force(order, known.day):
            continue
        nothing_left = order.widest_mode is Mode.NOT_TODAY and not order.techniques
        about = OrderSubject.LOAD in order.subjects or (
            nothing_left and (not order.subjects or LOADING_SUBJECTS & set(order.subjects))
        )
        if about:
            yield order


def unsettled_restrictions(known: ClientOnDay) -> Iterator[tuple[MedicalOrder, MedicalOrder]]:
    """Each restriction in force with a clearance in force of a later date that speaks of the
    same, where nobody has named which of the two stands (ruling 46)."""
    standing = [order for order in known.client.orders if in_force(order, known.day)]
    for restriction in standing:
        if restriction.kind is not OrderKind.RESTRICTION:
            continue
        for clearance in standing:
            later = clearance.given_on > restriction.given_on
            if clearance.kind is not OrderKind.CLEARANCE or not later:
                continue
            settled = clearance.id in restriction.stands_against
            if not settled and _speak_of_the_same(restriction, clearance):
                yield restriction, clearance


def _speak_of_the_same(one: MedicalOrder, other: MedicalOrder) -> bool:
    if one.sites and other.sites and not overlapping_sites(one.sites, other.sites):
        return False
    if one.techniques and other.techniques and not set(one.techniques) & set(other.techniques):
        return False
    return not one.subjects or bool(set(one.subjects) & set(other.subjects))
