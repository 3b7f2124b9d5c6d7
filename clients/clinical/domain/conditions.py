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


def has_needle_in(port: Condition, day: date, said_today: bool | None = None) -> bool | None:
    """Whether a needle is in a port on a day; None: nobody has asked that day.

    What the history records stands, without a last day still; ``said_today`` is the answer on
    arrival, which takes nothing back.
    """
    if port.accessed_from is None and port.accessed_until is None:
        return said_today
    begun = port.accessed_from is None or port.accessed_from <= day
    recorded = begun and (port.accessed_until is None or port.accessed_until >= day)
    return recorded or said_today


def is_skin_watched(course: Radiation, day: date, watch_days: int) -> bool:
    """Whether its skin is looked at each session: in the course and so many days after."""
    return course.until_date is None or day <= course.until_date + timedelta(days=watch_days)


def skin_broken_on(
    course: Radiation, day: date, watch_days: int, seen_today: bool | None = None
) -> bool | None:
    """Whether the skin of a course is broken; None: nobody has looked, or not on that day while
    it is watched.

    ``seen_today`` is the look on arrival. What a history records as broken stays so until a
    history records it as whole.
    """
    if course.skin_broken or seen_today:
        return True
    if not is_skin_watched(course, day, watch_days):
        return course.skin_broken
    return course.skin_broken if course.skin_seen_on == day else seen_today


def is_in_chemotherapy(client: ClientFacts, day: date, days_after: int) -> bool:
    """Whether chemotherapy is under way by any history, or ended so few days ago."""
    return any(
        holds_in_chemotherapy(condition, day, days_after)
        for history in known_histories(client)
        for condition in history.conditions
    )


def holds_in_chemotherapy(condition: Condition, day: date, days_after: int) -> bool:
    """Whether a condition is chemotherapy that is under way, or ended so few days ago."""
    return condition.kind is ConditionKind.CHEMOTHERAPY and (
        holds_on(condition, day)
        or (
            condition.until is not None
            and condition.until < day <= condition.until + timedelta(days=days_after)
        )
    )
