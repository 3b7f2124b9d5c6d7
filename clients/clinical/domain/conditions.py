"""The conditions and radiation in force on a day, reported and reviewed alike. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import Condition, Radiation
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.order import MedicalOrder


def conditions_of_kind(client: ClientFacts, kind: ConditionKind, day: date) -> Iterator[Condition]:
    """The conditions of one kind that hold on that day."""
    for history in known_histories(client):
        for condition in history.conditions:
            begun = condition.since is None or condition.since <= day
            if condition.kind is kind and begun:
                yield condition


def known_radiations(client: ClientFacts, day: date) -> Iterator[Radiation]:
    """The courses of radiation that have begun by the day; without a first day they have."""
    for history in known_histories(client):
        for course in history.radiations:
            if course.from_date is None or course.from_date <= day:
                yield course


def given_after(order: MedicalOrder, condition: Condition) -> bool:
    """Whether an order was given once the condition was known; without its date, nobody knows."""
    return condition.since is not None and order.given_on >= condition.since
