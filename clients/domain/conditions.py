"""The conditions in force on a day, reported and reviewed alike. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from clients.domain.clinical import ClientFacts
from clients.domain.health import Condition, Order
from clients.domain.operations import histories
from clients.domain.terms import ConditionKind


def of_kind(client: ClientFacts, kind: ConditionKind, day: date) -> Iterator[Condition]:
    """The conditions of one kind that hold on that day."""
    for history in histories(client):
        for condition in history.conditions:
            begun = condition.since is None or condition.since <= day
            if condition.kind is kind and begun:
                yield condition


def after(order: Order, condition: Condition) -> bool:
    """Whether an order was given once the condition was known; without its date, nobody knows."""
    return condition.since is not None and order.given_on >= condition.since
