"""A surgeon's or physician's paper: filed, and lifted by name and date."""

from __future__ import annotations

from datetime import timedelta

import msgspec

from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from clients.orders.domain.commands import FileOrder, LiftOrder
from clients.orders.domain.events import OrderFiled, OrderLifted
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import OrdersState
from clients.orders.domain.terms import OrderKind, OrderSubject
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import invalid, not_found

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
    """A paper as it reads. Raises Rejected 400 for one that cannot be.

    ``clearance_days``: how long a clearance lasts that names no last day (a practice
    setting); one for load stands until it is revoked. An order
    given today counts from now, an earlier one from its own day.
    """
    today = local_day(ctx.now, details.zone)
    begins = command.from_date or command.given_on
    dates.check_not_future("given_on", command.given_on, today)
    dates.check_within_lifetime("given_on", command.given_on, details.birth_date)
    dates.check_order("from_date", command.given_on, begins)
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
    now = command.given_on == today
    at = ctx.now if now else dates.start_of_day(command.given_on, details.zone, ctx.now)
    return [DatedEvent(OrderFiled(order=order, expiry_by_setting=by_setting), at)]


def lift_order(state: OrdersState, command: LiftOrder, zone: str, ctx: Context) -> Decided:
    """Lift an order from a day on (default today); lifted again it changes nothing."""
    order = next((one for one in state.orders if one.id == command.order_id), None)
    if order is None:
        raise not_found("order")
    if order.lifted_on is not None:
        return []
    today = local_day(ctx.now, zone)
    day = command.lifted_on or today
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
