"""Which orders stand on a day, which an operation voids, and what leave opens. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from clients.domain.clinical import ClientFacts
from clients.domain.health import Operation, Order, Site
from clients.domain.operations import operated_sites, operations
from clients.domain.sites import covers, overlap
from clients.domain.terms import Giver, OperationKind, OrderKind, OrderSubject
from practice.domain.terms import Region, Technique


@dataclass(frozen=True, slots=True)
class ClientOnDay:
    """A client's facts as they bear on one local day.

    ``regions``: those that each kind of operation is known to touch (a practice setting).
    """

    client: ClientFacts
    day: date
    regions: Mapping[OperationKind, Sequence[Region]]


def stands(order: Order, day: date) -> bool:
    """Whether an order is in force: begun, not ended, not lifted."""
    if (order.from_date or order.given_on) > day or order.given_on > day:
        return False
    if order.expires_on is not None and order.expires_on < day:
        return False
    return order.lifted_on is None or order.lifted_on > day


def voiding(order: Order, known: ClientOnDay) -> list[Operation]:
    """The later operations that void it.

    An operation on the same day counts as later, and one of unknown date as later
    where it touches the order's sites: it cannot be told that it was not.
    """
    return [
        operation
        for operation in operations(known.client, known.day)
        if (operation.on is not None and operation.on >= order.given_on)
        or (operation.on is None and overlap(operated_sites(operation, known.regions), order.sites))
    ]


def void(order: Order, known: ClientOnDay) -> bool:
    """Whether a later operation voids it."""
    return bool(voiding(order, known))


def voided(known: ClientOnDay) -> Iterator[tuple[Order, list[Operation]]]:
    """The leaves and clearances still running that an operation voided, with the operations."""
    for order in known.client.orders:
        if order.kind not in (OrderKind.LEAVE, OrderKind.CLEARANCE):
            continue
        operated = voiding(order, known) if stands(order, known.day) else []
        if operated:
            yield order, operated


def leaves(known: ClientOnDay, subject: OrderSubject, *, surgeon: bool = True) -> Iterator[Order]:
    """The leaves for a subject that stand that day and no operation voids."""
    for order in known.client.orders:
        if order.kind is not OrderKind.LEAVE or subject not in order.subjects:
            continue
        if surgeon and order.giver is not Giver.SURGEON:
            continue
        if stands(order, known.day) and not void(order, known):
            yield order


def for_stretching(order: Order, technique: Technique, sites: list[Site]) -> bool:
    """Whether it is a surgeon's leave that lets a technique be used on some of these sites."""
    return (
        order.giver is Giver.SURGEON
        and OrderSubject.STRETCHING in order.subjects
        and (not order.techniques or technique in order.techniques)
        and bool(overlap(order.sites, sites))
    )


def undated_for_technique(
    known: ClientOnDay, technique: Technique, sites: list[Site]
) -> Iterator[Order]:
    """The leaves that name the technique on these sites but no date from which it may be."""
    for order in leaves(known, OrderSubject.STRETCHING):
        named = technique in order.techniques and order.from_date is None
        if named and for_stretching(order, technique, sites):
            yield order


def given(
    known: ClientOnDay, subject: OrderSubject, sites: Iterable[Site], *, surgeon: bool = True
) -> bool:
    """Whether leave stands for every one of these sites, from one paper or several."""
    papers = [site for order in leaves(known, subject, surgeon=surgeon) for site in order.sites]
    return bool(papers) and all(covers(papers, site) for site in sites)


def given_for_technique(
    known: ClientOnDay, technique: Technique, sites: Iterable[Site], *, early: bool
) -> bool:
    """Whether the surgeon lets a technique be used on these sites.

    ``early``: before the practice's number of weeks only an order that names the
    technique and its date counts, from that date on.
    """
    papers: list[Site] = []
    for order in leaves(known, OrderSubject.STRETCHING):
        if technique in order.techniques:
            counts = not early or order.from_date is not None
        else:
            counts = not early and not order.techniques
        if counts:
            papers.extend(order.sites)
    return bool(papers) and all(covers(papers, site) for site in sites)


def cleared_for_loading(known: ClientOnDay) -> bool:
    """Whether a physician's clearance stands that day that no operation voids."""
    return any(
        order.kind is OrderKind.CLEARANCE and stands(order, known.day) and not void(order, known)
        for order in known.client.orders
    )
