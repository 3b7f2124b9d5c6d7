"""A surgeon's or physician's orders on the client's record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast
from uuid import UUID

from clients.identity.domain.evaluating import EvaluationSettings, check_may_evaluate
from clients.identity.practitioners import credential_of
from clients.identity.registered import execute
from clients.orders.domain import decisions as filing_orders
from clients.orders.domain.commands import FileOrder, LiftOrder, NamePrecedence
from clients.orders.domain.state import ORDERS
from clients.orders.domain.terms import OrderKind
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import Outcome, UnitOfWork


def order_file(
    uow: UnitOfWork, *, client_id: UUID, command: FileOrder, if_match: int | None = None
) -> Outcome:
    """A surgeon's or physician's order."""
    uow.lock(client_id)
    days = settings_group("permissions", filing_orders.OrderSettings)[0].clearance_days
    return execute(
        uow,
        client_id,
        ORDERS,
        lambda _orders, details, ctx: filing_orders.file_order(
            command, details, clearance_days=days, ctx=ctx
        ),
        if_match=if_match,
    )


def order_lift(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    order_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """An order lifted by name and date."""
    lift = LiftOrder(order_id=order_id, **command)
    return execute(
        uow,
        client_id,
        ORDERS,
        lambda orders, details, ctx: filing_orders.lift_order(orders, lift, details.zone, ctx),
        if_match=if_match,
    )


def order_precedence_name(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    order_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """Which of a restriction and a later clearance stands, named by an evaluating practitioner.

    Raises Rejected 403 for a credential that the practice does not let evaluate.
    """
    uow.lock(client_id)
    settings = settings_group("permissions", EvaluationSettings)[0]
    who = uow.actor.practitioner_id
    check_may_evaluate(credential_of(who), settings.evaluating_credentials)
    # Only a practitioner has a credential, so there is one.
    person = Practitioner.objects.get(pk=cast("UUID", who))
    named = NamePrecedence(
        restriction_id=order_id,
        clearance_id=command["clearance_id"],
        stands=OrderKind(command["stands"]),
        named_by=person.name,
        reason=command["reason"],
    )
    return execute(
        uow,
        client_id,
        ORDERS,
        lambda orders, details, ctx: filing_orders.name_precedence(
            orders, named, details.zone, ctx
        ),
        if_match=if_match,
    )
