"""A surgeon's or physician's order: filed, and lifted by name and date."""

from __future__ import annotations

from datetime import timedelta
from typing import cast

import msgspec

from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from clients.orders.domain.commands import FileOrder, LiftOrder, NamePrecedence
from clients.orders.domain.events import OrderFiled, OrderLifted, OrderPrecedenceNamed
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import OrdersState
from clients.orders.domain.terms import OrderKind, OrderSubject
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid, not_found

WITHOUT_SITES = (
    {OrderSubject.WORK_AFTER_CLOT},
    {OrderSubject.LOAD},
    {OrderSubject.WORK_WITH_LOW_COUNTS},
    {OrderSubject.WORK_WITH_BRAIN_CONDITION},
)
"""What a clearance may be for without naming a site: it is then for the whole body."""


class OrderSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What filing takes of the practice's settings for permissions: days of a clearance."""

    clearance_days: int


def file_order(
    command: FileOrder, details: ClientDetails, *, clearance_days: int, ctx: Context
) -> Decided:
    """An order as it reads. Raises Rejected 400 for one that cannot be.

    ``clearance_days``: how long a clearance lasts that names no last day (a practice
    setting); one for load stands until it is revoked. An order
    given today counts from now, an earlier one from its own day; a restriction from the first
    instant of the day from which it restricts (ruling 47).
    """
    today = local_day(ctx.now, details.zone)
    begins = command.from_date or command.given_on
    dates.check_not_future("given_on", command.given_on, today)
    dates.check_within_lifetime("given_on", command.given_on, details.birth_date)
    restricts = command.kind is OrderKind.RESTRICTION
    if not restricts:
        dates.check_order("from_date", command.given_on, begins)
    dates.check_within_lifetime("from_date", begins, details.birth_date)
    dates.check_order("expires_on", begins, command.expires_on)
    _complete(command)
    by_setting = (
        command.kind is OrderKind.CLEARANCE
        and OrderSubject.LOAD not in command.subjects
        and command.expires_on is None
    )
    ends = begins + timedelta(days=clearance_days) if by_setting else command.expires_on
    order = MedicalOrder(
        id=ctx.new_id(),
        kind=command.kind,
        prescriber=command.prescriber,
        prescriber_name=command.prescriber_name,
        given_on=command.given_on,
        subjects=command.subjects,
        sites=command.sites,
        techniques=command.techniques,
        limits=command.limits,
        widest_mode=command.widest_mode,
        from_date=command.from_date,
        expires_on=ends,
        text=command.text,
    )
    # What narrows counts from the first instant of its day, what widens not before it is here.
    first = min(begins, command.given_on) if restricts else command.given_on
    now = command.given_on == today and not restricts
    at = ctx.now if now else dates.start_of_day(first, details.zone, ctx.now)
    return [DatedEvent(OrderFiled(order=order, expiry_by_setting=by_setting), at)]


def filed_order(decided: Decided) -> MedicalOrder:
    """The order that a decision of ``file_order`` files."""
    (filed,) = decided
    return cast(OrderFiled, filed.event if isinstance(filed, DatedEvent) else filed).order


def lift_order(state: OrdersState, command: LiftOrder, zone: str, ctx: Context) -> Decided:
    """Lift an order from a day on (default today); lifted again it changes nothing.

    Raises Rejected 409 for another day, but for a clearance that is revoked earlier: that
    narrows.
    """
    order = next((one for one in state.orders if one.id == command.order_id), None)
    if order is None:
        raise not_found("order")
    today = local_day(ctx.now, zone)
    day = command.lifted_on or order.lifted_on or today
    if order.lifted_on is not None:
        if day == order.lifted_on:
            return []
        if order.kind is not OrderKind.CLEARANCE or day > order.lifted_on:
            raise Rejected("already_lifted", f"It was lifted from {order.lifted_on.isoformat()}.")
    dates.check_not_future("lifted_on", day, today)
    dates.check_order("lifted_on", order.given_on, day)
    event = OrderLifted(
        order_id=order.id,
        kind=order.kind,
        lifted_on=day,
        lifted_by=command.lifted_by,
        reason=command.reason,
    )
    return [DatedEvent(event, ctx.now if day == today else dates.start_of_day(day, zone, ctx.now))]


def name_precedence(
    state: OrdersState, command: NamePrecedence, zone: str, ctx: Context
) -> Decided:
    """Name which stands of a restriction and a clearance of a later date; said again nothing.

    Raises Rejected 404 for an order that is not on record, 409 where there is nothing to name.
    """
    found = {one.id: one for one in state.orders}
    restriction = found.get(command.restriction_id)
    clearance = found.get(command.clearance_id)
    if restriction is None or restriction.kind is not OrderKind.RESTRICTION:
        raise not_found("restriction")
    if clearance is None or clearance.kind is not OrderKind.CLEARANCE:
        raise not_found("clearance")
    named_before = clearance.id in restriction.stands_against
    if named_before and command.stands is OrderKind.RESTRICTION:
        return []
    if clearance.given_on <= restriction.given_on:
        raise Rejected("not_a_later_clearance", "The clearance is not of a later date.")
    if restriction.lifted_on is not None:
        text = f"The restriction was lifted from {restriction.lifted_on.isoformat()}."
        raise Rejected("already_lifted", text)
    if clearance.lifted_on is not None:
        text = f"The clearance was revoked from {clearance.lifted_on.isoformat()}."
        raise Rejected("already_lifted", text)
    return [
        OrderPrecedenceNamed(
            restriction_id=restriction.id,
            clearance_id=clearance.id,
            stands=command.stands,
            named_on=local_day(ctx.now, zone),
            named_by=command.named_by,
            reason=command.reason,
        )
    ]


def _complete(command: FileOrder) -> None:
    """Raises Rejected 400 where a clearance does not say for what and where."""
    if command.kind is not OrderKind.CLEARANCE:
        return
    subjects = set(command.subjects)
    if not subjects:
        raise invalid("subjects", "Say what the clearance is for, e.g. stretching.")
    if OrderSubject.LOAD in subjects and len(subjects) > 1:
        raise invalid("subjects", "File the clearance for load as an order of its own.")
    if not command.sites and subjects not in WITHOUT_SITES:
        raise invalid("sites", "Name the regions and sides that the clearance is for.")
