"""Every list of the program, at a hundred thousand rows, answers a page from an index."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Final, NamedTuple

import pytest
from django.db import connection

from billing.authorizations.models import Authorization, Visit
from billing.summaries.models import Disclosure
from clients.identity.models import Client, ClientFacility
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import claim_jobs
from practice.policy.models import SettingChange
from sessions.calendar.models import Session
from sessions.measurements.models import Goal, PostureFinding, Reading
from sessions.measurements.serializers.readings import GoalInputSerializer
from sessions.notes.models import Note
from sessions.stretches.models import HomeExercise, Prescription, Recheck
from sessions.waiting_list.models import WaitingEntry
from tests.api.prepared import NOW, Prepared
from tests.bench.statements import Statement, listening
from tests.builders import build_practice, ok
from tests.growth.plans import MOST, faults_of
from tests.growth.rows import SIZE, multiply
from tests.harness.each_operation import taken_back

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
SOME_NAME: Final = "md5(n::text)"


def _furnish(p: Prepared) -> None:
    """One of everything that lists show."""
    for thing in ("visit", "recheck", "home_exercise", "finding", "payer", "age", "waiting"):
        p.id(thing)
    del p.made["waiting"]  # A word of queries too.
    p.made["me"] = str(p.built.staff[Role.OWNER].pk)
    p.made["desk"] = str(p.built.staff[Role.FRONT_DESK].pk)
    path = f"authorizations/{p.id('authorization')}/visit-summary"
    p.post(path, {"recipient": "Lakeshore claims", "purpose": "review"})
    p.post(f"clients/{p.id('client')}/goals", GoalInputSerializer.example, Role.PRACTITIONER)


def _grow() -> None:
    names = dict.fromkeys(("by_family", "by_given"), SOME_NAME)
    multiply(
        Client, id="md5('client_id' || n)::uuid", client_id="md5('client_id' || n)::uuid", **names
    )
    client = "md5('client_id' || n)::uuid"
    # These two go through the rows of other places in the order of the list: what a page of one
    # place costs is in proportion to the number of places.
    twenty = "CASE WHEN random() < 0.05 THEN copied.facility_id ELSE gen_random_uuid() END"
    multiply(ClientFacility, client_id=client, facility_id=twenty)
    multiply(Recheck, facility_id=twenty)
    for model in (
        Note,
        Reading,
        Goal,
        PostureFinding,
        Prescription,
        HomeExercise,
        Visit,
        Disclosure,
        AccessEntry,
        SettingChange,
    ):
        multiply(model)
    multiply(Authorization, id="md5('authorization_id' || n)::uuid", number="'PA-' || n")
    multiply(Session, status="CASE WHEN day > 0 THEN 'booked' ELSE 'completed' END")
    still = "CASE WHEN random() < 0.05 THEN 'waiting' ELSE 'withdrawn' END"
    multiply(WaitingEntry, status=still, weekdays="'[1]'::jsonb")
    waits = "CASE WHEN day > -20 THEN 'waiting' ELSE 'done' END"
    multiply(ScheduledJob, key="'copy ' || n", status=waits)


@pytest.fixture(scope="module")
def grown(django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> Iterator[Prepared]:
    """The practice with its tables grown; taken back at the end."""
    with django_db_blocker.unblock(), ExitStack() as stack:  # type: ignore[attr-defined]
        stack.enter_context(taken_back())
        stack.enter_context(clock.at(NOW))
        p = Prepared(stack, build_practice())
        _furnish(p)
        _grow()
        p.id("series")
        yield p


PLACE: Final = SIZE // 20 * 2
"""The clients of one place, whose ids a list by name goes through, and as many to spare."""


class Asked(NamedTuple):
    """A list as someone asks for it: address, query, role."""

    path: str
    query: dict[str, str] = {}
    role: Role = Role.OWNER
    most: int = MOST

    def __str__(self) -> str:
        query = "&".join(f"{name}={value}" for name, value in self.query.items())
        return f"{self.role.value} {self.path}?{query}"


HERE: Final = {"facility_id": "facility"}
LATER: Final = {"from": "2026-06-01"}
DAY: Final = {"from": "2026-03-09", "to": "2026-03-09"}
DESK, HANDS, BILLING = Role.FRONT_DESK, Role.PRACTITIONER, Role.BILLING
ASKED: Final = (
    Asked("sessions", HERE | DAY, DESK),
    Asked("sessions", DAY, HANDS),
    Asked("sessions", DAY),
    Asked("sessions", {"to": "2024-06-01"} | HERE),
    Asked("sessions", LATER | HERE),
    Asked("sessions", {"practitioner_id": "practitioner"} | DAY, HANDS),
    Asked("sessions", {"client_id": "client"}, HANDS),
    Asked("sessions", {"client_id": "client"} | DAY, HANDS),
    Asked("sessions", {"flagged": "true"} | HERE | DAY, DESK),
    Asked("sessions", {"series_id": "series"}, DESK),
    Asked("sessions", {"status": "cancelled"} | HERE | DAY, DESK),
    Asked("sessions"),
    Asked("clients", {}, DESK, PLACE),
    Asked("clients"),
    Asked("clients", HERE, BILLING),
    Asked("clients/{client}/range-of-motion", {}, HANDS),
    Asked("clients/{client}/range-of-motion", {"movement": "shoulder_flexion"}, HANDS),
    Asked("clients/{client}/goals", {}, HANDS),
    Asked("clients/{client}/posture", {}, HANDS),
    Asked("clients/{client}/stretches", {}, HANDS),
    Asked("clients/{client}/home-exercises", {}, HANDS),
    Asked("clients/{client}/authorizations", {}, BILLING),
    Asked("clients/{client}/history", {}, HANDS),
    Asked("rechecks", {}, DESK),
    Asked("rechecks", {"open": "true"}, DESK),
    Asked("rechecks", {"status": "on_call_list"} | HERE, DESK),
    Asked("rechecks", {"practitioner_id": "practitioner"} | DAY, HANDS),
    Asked("notes/outside-permission"),
    Asked("notes/outside-permission", {}, HANDS),
    Asked("authorizations", {}, BILLING),
    Asked("authorizations", {"payer_id": "payer"}, BILLING),
    Asked("authorizations", {"client_id": "client"}, BILLING),
    Asked("authorizations", {"state": "open"}, BILLING),
    Asked("visits", {}, BILLING),
    Asked("visits", {"covered": "not_covered"}, BILLING),
    Asked("visits", {"awaiting_override": "true"}, BILLING),
    Asked("visits", {"payer_id": "payer"}, BILLING),
    Asked("visits", {"client_id": "client"}, BILLING),
    Asked("authorizations/{authorization}/visits", {}, BILLING),
    Asked("access-log"),
    Asked("access-log", {"client_id": "client"}),
    Asked("access-log", {"staff_id": "me"}),
    Asked("access-log", {"outcome": "refused"}),
    Asked("waiting-list", {}, DESK, PLACE),
    Asked("waiting-list"),
    Asked("waiting-list", {"status": "waiting"}),
    Asked("waiting-list", {"status": "waiting"}, DESK, PLACE),
    Asked("waiting-list", {"client_id": "client"}, DESK),
    Asked("jobs"),
    Asked("jobs", {"status": "given_up"}),
    Asked("setting-changes"),
)


NEEDED: Final = {
    "session_by_facility": Asked("sessions", LATER | HERE),
    "session_by_start": Asked("sessions"),
    "session_by_practitioner": Asked("sessions", {"practitioner_id": "practitioner"} | LATER),
    "session_booked": Asked("authorizations", {}, BILLING),
    "session_by_series": Asked("sessions", {"series_id": "series"}),
    "client_by_family": Asked("clients"),
    "recheck_by_due": Asked("rechecks", {}, DESK),
    "authorization_by_last_day": Asked("authorizations", {}, BILLING),
    "authorization_by_number": Asked("clients/{client}/authorizations", {}, BILLING),
    "visit_by_day": Asked("visits", {}, BILLING),
    "access_of_client": Asked("access-log", {"client_id": "client"}),
    "access_of_staff": Asked("access-log", {"staff_id": "desk"}),
    "access_refused": Asked("access-log", {"outcome": "refused"}),
    "waiting_by_time": Asked("waiting-list"),
    "job_by_due": Asked("jobs"),
    "job_by_status": Asked("jobs", {"status": "given_up"}),
}
"""Indexes, and a list that none of the others would answer."""


def _heard(p: Prepared, asked: Asked, page_size: int = 20) -> list[Statement]:
    """The statements of the request."""
    path = asked.path
    for thing, made in p.made.items():
        path = path.replace(f"{{{thing}}}", made)
    query = {name: p.made.get(value, value) for name, value in asked.query.items()}
    with listening() as heard:
        ok(p.api(asked.role).get(path, query | {"page_size": str(page_size)}))
    return heard


def _faults(p: Prepared, asked: Asked) -> list[str]:
    return faults_of(_heard(p, asked), asked.most)


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_a_page_of_a_list_comes_from_an_index(grown: Prepared, asked: Asked) -> None:
    assert _faults(grown, asked) == []


@pytest.mark.parametrize("index", NEEDED)
def test_without_its_index_a_list_is_seen_to_read_too_much(grown: Prepared, index: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"DROP INDEX {index}")  # It comes back with the end of the test.
    assert _faults(grown, NEEDED[index]) != []


@pytest.mark.parametrize("role", [DESK, Role.OWNER])
def test_who_waits_for_a_free_time_is_found_from_an_index(grown: Prepared, role: Role) -> None:
    """Of 5,000 who wait the first are read in the order of the list; a Wednesday suits none."""
    named = {name: grown.id(name) for name in ("practitioner", "facility")}
    asked = {f"{name}_id": one for name, one in named.items()}
    free = {**asked, "starts_at": "2026-03-18T08:00:00-04:00", "minutes": "60"}
    with listening() as heard:
        ok(grown.api(role).get("waiting-fits", free))
    assert faults_of(heard, PLACE) == []


def test_due_work_is_claimed_from_an_index(grown: Prepared) -> None:
    """However many rows wait for a later day: the rows that are due are read, and no more."""
    with listening() as heard:
        found = claim_jobs(NOW, limit=20)
    assert len(found) == 20
    assert faults_of(heard) == []


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_a_list_takes_as_many_statements_for_one_row_as_for_twenty(
    grown: Prepared, asked: Asked
) -> None:
    _heard(grown, asked)  # What a process keeps of the practice is kept from here on.
    one, twenty = (len(_heard(grown, asked, size)) for size in (1, 20))
    assert one == twenty
