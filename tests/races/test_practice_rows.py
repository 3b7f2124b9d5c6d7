"""Rows of the practice entered by several people at one moment: two of a kind, two in a circle."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from practice.clock import clock
from practice.core.terms import Credential, Technique
from practice.people_and_places.models.practitioners import Competence, Supervision
from practice.policy import change_log
from tests.builders import Built, build_practice, practitioner
from tests.eventstore.test_races import no_row_locks
from tests.races.lifted import shown_within_rounds
from tests.races.meeting import meeting_before
from tests.races.test_one_record import posted_at_once

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
AT_ONCE = 4


@pytest.fixture
def built() -> Built:
    return build_practice()


def signed_off_at_once(built: Built) -> list[int]:
    """One technique signed off by several people at once; the statuses."""
    Competence.objects.all().delete()
    body = {
        "technique": Technique.PASSIVE,
        "signed_off_by": "Head therapist",
        "signed_off_on": "2026-01-15",
        "practised_on_colleagues": True,
    }
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    return posted_at_once(built, f"practitioners/{paula}/competences", [body] * AT_ONCE)


def test_a_technique_signed_off_by_several_at_once_is_signed_off_once(built: Built) -> None:
    for _ in range(3):
        assert sorted(signed_off_at_once(built)) == [201] + [409] * (AT_ONCE - 1)
        assert Competence.objects.count() == 1


@contextmanager
def no_unique_sign_off() -> Iterator[None]:
    """The guard off: the constraint of the table."""
    (guard,) = Competence._meta.constraints
    with connection.schema_editor() as editor:
        editor.remove_constraint(Competence, guard)
    try:
        yield
    finally:
        Competence.objects.all().delete()
        with connection.schema_editor() as editor:
            editor.add_constraint(Competence, guard)


def test_without_its_constraint_a_technique_is_signed_off_twice(built: Built) -> None:
    with no_unique_sign_off(), meeting_before(change_log, "create_row") as meeting:
        shown_within_rounds(lambda _: signed_off_at_once(built).count(201) > 1, meeting)


def supervised_at_once(built: Built, people: list[Any], days: int) -> list[int]:
    """Two that are named as each other's supervisor at one moment; the statuses."""
    day = (clock.now() + timedelta(days=days)).date().isoformat()
    place = {"facility_id": str(built.east.pk), "day": day}
    bodies = [
        {**place, "supervisor_id": str(one), "supervised_id": str(other)}
        for one, other in (people, people[::-1])
    ]
    return posted_at_once(built, "supervisions", bodies)


@pytest.fixture
def people(built: Built) -> list[Any]:
    kind = Credential.PHYSICAL_THERAPIST
    return [practitioner(name, kind, built.east).pk for name in ("Ada", "Ben")]


def test_two_are_never_named_as_each_others_supervisor(built: Built, people: list[Any]) -> None:
    for days in range(1, 4):
        assert sorted(supervised_at_once(built, people, days)) == [201, 409]
    assert Supervision.objects.count() == 3


def test_the_second_looks_for_a_circle_when_the_first_is_written(
    built: Built, people: list[Any]
) -> None:
    with meeting_before(change_log, "create_row", seconds=1.0) as meeting:
        assert sorted(supervised_at_once(built, people, 1)) == [201, 409]
    assert not meeting.met


def test_without_the_lock_of_the_practice_the_circle_closes(
    built: Built, people: list[Any]
) -> None:
    with no_row_locks(), meeting_before(change_log, "create_row") as meeting:
        shown_within_rounds(
            lambda days: supervised_at_once(built, people, days + 1) == [201, 201], meeting
        )
