"""The conditions and radiation in force on a day, reported and reviewed alike. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import Condition, Radiation
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.order import MedicalOrder


def conditions_of_kind(client: ClientFacts, kind: ConditionKind, day: date) -> Iterator[Condition]:
    """The conditions of one kind that hold on that day."""
    for history in known_histories(client):
        for condition in history.conditions:
            if condition.kind is kind and holds_on(condition, day):
                yield condition


def holds_on(condition: Condition, day: date) -> bool:
    """Whether a condition has begun by a day, and not ended; without dates it holds."""
    begun = condition.first_day is None or condition.first_day <= day
    return begun and (condition.until is None or condition.until >= day)


def known_radiations(client: ClientFacts, day: date) -> Iterator[Radiation]:
    """The courses of radiation that have begun by the day; without a first day they have."""
    for history in known_histories(client):
        for course in history.radiations:
            if course.first_day is None or course.first_day <= day:
                yield course


def given_after(order: MedicalOrder, condition: Condition) -> bool:
    """Whether an order was given once the condition was known; without its date, nobody knows."""
    return condition.since is not None and order.given_on >= condition.since


def is_within(since: date | None, day: date, days: int) -> bool:
    """Whether a day lies in the first so many since a date; without the date nobody knows."""
    return since is None or (day - since).days < days


def has_needle_in(port: Condition, day: date) -> bool:
    """Whether a needle is recorded in a port on a day; without a last day it is in still."""
    if port.accessed_from is None and port.accessed_until is None:
        return False
    begun = port.accessed_from is None or port.accessed_from <= day
    return begun and (port.accessed_until is None or port.accessed_until >= day)


def is_skin_watched(course: Radiation, day: date, watch_days: int) -> bool:
    """Whether its skin is looked at each session: in the course and so many days after."""
    return course.until_date is None or day <= course.until_date + timedelta(days=watch_days)


def skin_broken_on(course: Radiation, day: date, watch_days: int) -> bool | None:
    """Whether the skin of a course is broken; None: nobody has looked, or not on that day while
    it is watched. What was seen broken stays so until it is seen whole."""
    if course.skin_broken or not is_skin_watched(course, day, watch_days):
        return course.skin_broken
    return course.skin_broken if course.skin_seen_on == day else None
