"""A surgeon's or physician's paper: filed, and lifted by name and date."""

from __future__ import annotations

from datetime import timedelta

import msgspec

from clients.domain.commands import FileOrder, LiftOrder
from clients.domain.deciding import dates
from clients.domain.events import Details, OrderFiled, OrderLifted
from clients.domain.health import Order
from clients.domain.state.orders import OrdersState
from clients.domain.terms import OrderKind, OrderSubject
from practice.domain.decisions import Context, Decided
from practice.domain.events import Happened
from practice.domain.localtime import local_day
from practice.domain.reasons import invalid, not_found


class OrderSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What filing takes of the practice's settings for permissions: days of a leave."""

    leave_days: int


def file_order(command: FileOrder, details: Details, *, leave_days: int, ctx: Context) -> Decided:
    """A paper as it reads. Raises Rejected 400 for one that cannot be.

    ``leave_days``: how long a leave lasts whose paper names no last day (a practice
    setting). A paper given today counts from now, an earlier one from its own day.
    """
    today = local_day(ctx.now, details.zone)
    begins = command.from_date or command.given_on
    dates.not_future("given_on", command.given_on, today)
    dates.alive("given_on", command.given_on, details.birth_date)
    dates.in_order("from_date", command.given_on, begins)
    dates.in_order("expires_on", begins, command.expires_on)
    _complete(command)
    by_setting = command.kind is OrderKind.LEAVE and command.expires_on is None
    ends = begins + timedelta(days=leave_days) if by_setting else command.expires_on
    order = Order(
        id=ctx.new_id(),
        kind=command.kind,
        giver=command.giver,
        given_by=command.given_by,
        given_on=command.given_on,
        subjects=command.subjects,
        sites=command.sites,
        techniques=command.techniques,
        limits=command.limits,
        widest=command.widest,
        from_date=command.from_date,
        expires_on=ends,
        text=command.text,
    )
    now = command.given_on == today
    at = ctx.now if now else dates.start_of(command.given_on, details.zone, ctx.now)
    return [Happened(OrderFiled(order=order, expiry_by_setting=by_setting), at)]


def lift(state: OrdersState, command: LiftOrder, zone: str, ctx: Context) -> Decided:
    """Lift an order from a day on (default today); lifted again it changes nothing."""
    order = next((one for one in state.orders if one.id == command.order_id), None)
    if order is None:
        raise not_found("order")
    if order.lifted_on is not None:
        return []
    today = local_day(ctx.now, zone)
    day = command.lifted_on or today
    dates.not_future("lifted_on", day, today)
    dates.in_order("lifted_on", order.given_on, day)
    event = OrderLifted(
        order_id=order.id, lifted_on=day, lifted_by=command.lifted_by, reason=command.reason
    )
    return [Happened(event, ctx.now if day == today else dates.start_of(day, zone, ctx.now))]


def _complete(command: FileOrder) -> None:
    """Raises Rejected 400 where a leave does not say for what and where."""
    if command.kind is not OrderKind.LEAVE:
        return
    if not command.subjects:
        raise invalid("subjects", "Say what the leave is for, e.g. stretching.")
    if not command.sites and set(command.subjects) != {OrderSubject.WORK_AFTER_CLOT}:
        raise invalid("sites", "Name the regions and sides that the leave is for.")
