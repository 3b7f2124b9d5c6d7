"""What a process keeps of people, places, law and catalogue: whatever changes a row, by another
process and past the program too, is seen by its next request."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection, transaction
from django.db.models import Value
from django.db.models.functions import Concat
from django.test.utils import CaptureQueriesContext

from practice.clock import clock
from practice.core.reasons import Rejected
from practice.core.terms import Allowance, Credential, Role, Technique
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import Facility, FacilityRule, Room
from practice.people_and_places.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    Supervision,
    WorkingHours,
)
from practice.people_and_places.selectors import kept
from practice.people_and_places.selectors.facilities import visible_facility_ids
from practice.policy import change_log
from practice.policy.selectors import practice_get
from practice.work import request_cache
from practice.work.request_cache import caching
from practice.work.unit_of_work import unit_of_work
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.calendar.selectors.facilities import facility_calendar, zone_of
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import catalogue, stretch_names
from tests.bench.statements import listening
from tests.builders import Built, build_practice, ok
from tests.dsl import DESK
from tests.sessions.people import open_client
from tests.tooling.kept import another_process, changeable

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 9)
MONDAY = 1


@pytest.fixture
def built() -> Built:
    return build_practice()


def paula(built: Built) -> Practitioner:
    return built.practitioners[Credential.PHYSICAL_THERAPIST]


def person(built: Built) -> Any:
    return PracticeRows().person(paula(built).pk)


def law(built: Built) -> Any:
    return PracticeRows().law("US-PA")


def here(built: Built) -> Any:
    return PracticeRows().facility_facts(built.east.pk)


def supervised(built: Built) -> Any:
    return PracticeRows().supervision(paula(built).pk, built.east.pk, DAY)


def hours(built: Built) -> Any:
    zone = zone_of(built.east.pk)
    return facility_calendar(built.east.pk, zone, (paula(built).pk,)).working_hours


def seen(built: Built) -> Any:
    return visible_facility_ids(built.actor(Role.FRONT_DESK))


def supervise(built: Built) -> None:
    trainer = built.practitioners[Credential.PERSONAL_TRAINER]
    Supervision.objects.create(
        supervisor=trainer, supervised=paula(built), facility=built.east, day=DAY
    )


def bar(built: Built) -> None:
    FacilityRule.objects.create(
        facility=built.east,
        technique=Technique.PASSIVE,
        allowance=Allowance.NOT_ALLOWED,
        reason="the tables are too high",
    )


def shorter(built: Built) -> None:
    mine = WorkingHours.objects.filter(practitioner=paula(built), weekday=MONDAY)
    mine.update(ends=time(12))


def of(rows: Any, **changed: Any) -> Callable[[Built], Any]:
    return lambda _: rows.objects.update(**changed)


def renamed(rows: Any) -> Callable[[Built], Any]:
    return lambda _: rows.objects.update(name=Concat("name", Value(" as it is now")))


CHANGES: dict[str, tuple[Callable[[Built], Any], Callable[[Built], Any]]] = {
    "a limit": (law, of(JurisdictionLimit, allowance=Allowance.NOT_ALLOWED)),
    "a limit that ended": (law, of(JurisdictionLimit, effective_to=DAY)),
    "a limit that is struck out": (law, lambda _: JurisdictionLimit.objects.all().delete()),
    "a licence": (person, of(Licence, expires_on=DAY)),
    "a sign-off taken back": (person, lambda _: Competence.objects.all().delete()),
    "who left": (person, of(Practitioner, is_active=False)),
    "a credential": (person, of(Practitioner, credential=Credential.PERSONAL_TRAINER)),
    "a rule of the place": (here, bar),
    "under which law a place lies": (here, of(Facility, jurisdiction="US-NJ")),
    "the zone of a place": (lambda b: zone_of(b.east.pk), of(Facility, zone="Asia/Tokyo")),
    "a place that is closed": (lambda _: kept.places(), of(Facility, is_active=False)),
    "who is supervised": (supervised, supervise),
    "hours": (hours, shorter),
    "who works there": (
        lambda b: kept.colleagues_at(b.east.pk),
        lambda b: paula(b).facilities.set([b.west]),
    ),
    "rooms in use": (lambda b: kept.rooms_in_use(b.east.pk), of(Room, is_active=False)),
    "the name of a room": (lambda _: kept.room_names(), renamed(Room)),
    "a name": (lambda _: kept.practitioner_names(), of(Practitioner, name="Another")),
    "the name of a place": (lambda _: kept.facility_names(), renamed(Facility)),
    "what the desk sees": (seen, lambda b: b.staff[Role.FRONT_DESK].facilities.set([b.west])),
    "a stretch out of use": (lambda _: catalogue(), of(Stretch, is_active=False)),
    "the version of a stretch": (lambda _: catalogue(), of(Stretch, version=7)),
    "no catalogue": (lambda _: stretch_names(), lambda _: Stretch.objects.all().delete()),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_by_another_process_is_seen_by_the_next_request(built: Built, name: str) -> None:
    read, change = CHANGES[name]
    with caching():
        before = read(built)
    with another_process():
        read(built)
        change(built)
    with caching():
        after = read(built)
    with another_process():
        assert after == read(built)
    assert after != before


def test_what_is_kept_is_asked_for_in_no_statement_but_the_stamp(
    built: Built, django_assert_num_queries: Any
) -> None:
    def all_of_it() -> None:
        with caching():
            for read, _ in CHANGES.values():
                read(built)

    all_of_it()
    statements = 0 if connection.vendor == "postgresql" else 1
    with django_assert_num_queries(statements):
        all_of_it()


def test_a_request_gets_the_stamp_with_the_statement_that_authenticates(built: Built) -> None:
    api = built.api(Role.FRONT_DESK)

    def seen_and_asked() -> tuple[list[str], int]:
        with CaptureQueriesContext(connection) as captured, listening() as heard:
            found = ok(api.get("open-times", asked))
        sent = [str(one) for one in (*captured.captured_queries, *heard)]
        alone = sum("SELECT stamp FROM" in one for one in sent)
        return [one["practitioner_name"] for one in found["results"]], alone

    client_id = str(open_client(built))
    asked = {
        "client_id": client_id,
        "facility_id": str(built.east.pk),
        "minutes": "60",
        "from": "2026-03-09",
        "to": "2026-03-10",
    }
    with clock.at(datetime(2026, 3, 8, 12, tzinfo=UTC)):
        before, _ = seen_and_asked()
        assert seen_and_asked() == (before, 0)
        with another_process():
            renamed(Practitioner)(built)
        after, _ = seen_and_asked()
    assert before
    assert after == [f"{name} as it is now" for name in before]


def test_nothing_that_is_kept_can_be_changed_by_who_gets_it(built: Built) -> None:
    supervise(built)
    with another_process():
        for read, _ in CHANGES.values():
            read(built)
        held = {key: value for (_, key), (_, value) in request_cache._kept.items()}
    assert len(held) >= 12
    assert {key: list(changeable(value)) for key, value in held.items()} == {
        key: [] for key in held
    }


def test_a_place_that_the_caller_does_not_see_is_not_there(built: Built) -> None:
    owner, desk = built.actor(Role.OWNER), built.actor(Role.FRONT_DESK)
    with caching():
        assert kept.place_get(owner, built.west.pk).pk == built.west.pk
        assert kept.place_get(desk, built.east.pk).zone == built.east.zone
        with pytest.raises(Rejected):
            kept.place_get(desk, built.west.pk)
        there = built.actor(Role.PRACTITIONER)
        assert visible_facility_ids(there) == frozenset({built.east.pk, built.west.pk})
        assert visible_facility_ids(desk) == frozenset({built.east.pk})
    with pytest.raises(Rejected):
        kept.place_get(owner, uuid4())


def test_what_is_kept_of_one_is_not_said_of_another(built: Built) -> None:
    supervise(built)
    bar(built)
    trainer = built.practitioners[Credential.PERSONAL_TRAINER]
    with caching():
        rows = PracticeRows()
        assert rows.person(paula(built).pk) != rows.person(trainer.pk)
        assert rows.law("US-PA") != rows.law("US-CA")
        assert rows.facility_facts(built.east.pk).techniques_barred == (Technique.PASSIVE,)
        assert rows.facility_facts(built.west.pk).techniques_barred == ()
        assert kept.rooms_in_use(built.east.pk) != kept.rooms_in_use(built.west.pk)
        west = Practitioner.objects.filter(facilities=built.west)
        assert kept.colleagues_at(built.east.pk) != kept.colleagues_at(built.west.pk)
        assert list(kept.colleagues_at(built.west.pk)) == sorted(one.pk for one in west)
        assert supervised(built) is not None
        assert kept.supervisions_on(built.east.pk, DAY + timedelta(days=1)) == ()
        assert kept.supervisions_on(built.west.pk, DAY) == ()
        assert hours(built)
        zone = zone_of(built.west.pk)
        only_east = Practitioner.objects.filter(working_hours__facility=built.east)
        there = facility_calendar(built.west.pk, zone, [one.pk for one in only_east.distinct()])
        at_west = WorkingHours.objects.filter(facility=built.west)
        assert set(there.working_hours) == {one.practitioner_id for one in at_west} & {
            one.pk for one in only_east
        }


def test_what_is_not_there_is_not_kept(built: Built) -> None:
    unknown = uuid4()
    for _ in range(2):
        with caching(), pytest.raises(Rejected):
            PracticeRows().person(unknown)
    assert not [key for key in request_cache._kept if str(unknown) in str(key)]


def test_who_waited_for_a_row_of_the_practice_decides_by_what_is_read_after(built: Built) -> None:
    with unit_of_work(actor=DESK, request_id="waits"):
        before = zone_of(built.east.pk)
        # As another would have written it, and we, asking for the row, had waited for.
        request_cache._memory.get().values["zone"] = "old"  # type: ignore[union-attr]
        change_log.lock_row(Facility, built.east.pk, "facility")
        assert zone_of(None) == practice_get().zone != "old"
        assert zone_of(built.east.pk) == before


def test_a_request_that_wrote_leaves_nothing_that_was_not_committed(built: Built) -> None:
    with caching():
        before = person(built)
    try:
        with caching(), transaction.atomic():
            Licence.objects.all().delete()
            request_cache.invalidate()
            assert person(built).licences == ()
            raise ZeroDivisionError
    except ZeroDivisionError:
        pass
    with caching():
        assert person(built) == before
        assert isinstance(before.practitioner_id, UUID)
