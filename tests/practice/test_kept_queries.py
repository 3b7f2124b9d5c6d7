"""Queries whose text is kept: the same rows as the ORM's own, on both engines."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db.models import QuerySet

from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.staff import Staff
from practice.work.kept_queries import KeptQuery
from practice.work.request_cache import STAMP, read_stamp
from tests.builders import Built


def by_role(role: str, **more: UUID) -> QuerySet[Any, Any]:
    found = Staff.objects.filter(role=role, is_active=True, facilities__in=more.values())
    return found.values_list("id", "username", "is_active")


@pytest.mark.django_db
def test_it_gives_the_rows_of_the_query_for_each_set_of_values(built: Built) -> None:
    kept = KeptQuery(by_role)
    asked: list[dict[str, Any]] = [
        {"role": Role.FRONT_DESK.value, "place": built.east.pk},
        {"role": Role.PRACTITIONER.value, "place": built.east.pk},
        {"role": Role.PRACTITIONER.value, "place": uuid4()},
        {"role": Role.FRONT_DESK.value, "place": built.east.pk, "other": built.west.pk},
    ]
    expected = [sorted(by_role(**values)) for values in asked]
    assert [sorted(kept.rows(**values)) for values in asked] == expected
    assert any(expected)


@pytest.mark.django_db
def test_numbers_and_times_are_values_too() -> None:
    now = clock.now()
    one = ScheduledJob.objects.create(
        kind="toy", key="one", subject=uuid4(), about=uuid4(), due_at=now, claim=uuid4()
    )

    def due(pk: int, until: datetime, claim: UUID) -> QuerySet[Any, Any]:
        found = ScheduledJob.objects.filter(pk=pk, due_at__lt=until, claim=claim)
        return found.values_list("key", STAMP)

    kept, claim, second = KeptQuery(due), one.claim, timedelta(seconds=1)
    rows = [
        kept.rows(pk=pk, until=until, claim=who)
        for pk, until, who in (
            (one.pk + 1, now + second, claim),
            (one.pk, now + second, claim),
            (one.pk, now, claim),
            (one.pk, now + second, uuid4()),
        )
    ]
    assert rows == [[], [("one", read_stamp())], [], []]


@pytest.mark.django_db
@pytest.mark.postgresql
def test_the_time_of_the_first_call_is_not_that_of_the_next() -> None:
    now = clock.now()
    for days in (0, 1):
        ScheduledJob.objects.create(
            kind="toy",
            key=f"{days}",
            subject=uuid4(),
            about=uuid4(),
            due_at=now + timedelta(days=days),
        )
    kept = KeptQuery(lambda until: ScheduledJob.objects.filter(due_at__lt=until).values_list("key"))
    found = [kept.rows(until=now + timedelta(days=days, hours=1)) for days in (-1, 0, 1)]
    assert [len(rows) for rows in found] == [0, 1, 2]


def test_a_value_that_does_not_reach_the_statement_is_a_mistake() -> None:
    kept = KeptQuery(lambda name, zone: Facility.objects.filter(name=name).values_list("pk"))
    with pytest.raises(TypeError, match="zone"):
        kept._compiled({"name": "East", "zone": "America/New_York"})
