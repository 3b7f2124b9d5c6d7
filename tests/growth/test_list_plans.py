"""Every list of the program, at a hundred thousand rows, answers a page from an index."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import datetime
from typing import Final, NamedTuple

import pytest
from django.db import connection

from billing.authorizations.models import Authorization, Visit
from billing.payers.models import Payer
from billing.progress_notes.models import ProgressNote, TreatmentPeriod
from billing.summaries.models import Disclosure
from billing.summaries.selectors.disclosures import disclosure_list
from billing.summaries.views import SentSummaryListView
from clients.calls.models import Call
from clients.identity.models import Client, ClientFacility, ClientSearchCode
from clients.orders.models import Order
from clients.papers.models import Paper
from clients.papers.selectors import LocalDays, papers_expiring
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent
from practice.jobs.claims import claim_jobs
from practice.jobs.models import ScheduledJob
from practice.policy.models import SettingChange
from sessions.calendar.models import Session
from sessions.goals.models import HomeExerciseReport, TreatmentGoal
from sessions.incidents.models import Incident
from sessions.measurements.models import Circumferences, Goal, PostureFinding, Reading
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
SOME_CODE: Final = """
    CASE mod(n, 4) WHEN 0 THEN 'n:' || md5(n::text)
    WHEN 1 THEN 's:s' || chr(65 + mod(n, 26)) || mod(n, 999)
    WHEN 2 THEN 'x:' || md5(n::text) ELSE 'p:' || reverse((14150000000 + n)::text) END
"""


def _furnish(p: Prepared) -> None:
    """One of everything that lists show."""
    for thing in (
        "visit",
        "progress_note",
        "recheck",
        "home_exercise",
        "finding",
        "payer",
        "age",
        "paper",
        "incident",
        "treatment_goal",
        "report",
        "order",
        "circumferences",
        "waiting",
    ):
        p.id(thing)
    del p.made["waiting"]  # A word of queries too.
    p.made["me"] = str(p.built.staff[Role.OWNER].pk)
    p.made["desk"] = str(p.built.staff[Role.FRONT_DESK].pk)
    path = f"authorizations/{p.id('authorization')}/visit-summary"
    p.post(path, {"recipient": "Lakeshore claims", "purpose": "review", "overrule": "Due today."})
    p.post(f"clients/{p.id('client')}/goals", GoalInputSerializer.example, Role.PRACTITIONER)
    p.post(f"clients/{p.id('client')}/calls", {"outcome": "no_answer"}, Role.FRONT_DESK)


def _grow() -> None:
    names = dict.fromkeys(("by_family", "by_given"), SOME_NAME) | {"phone": "'+1' || n"}
    multiply(
        Client, id="md5('client_id' || n)::uuid", client_id="md5('client_id' || n)::uuid", **names
    )
    client = "md5('client_id' || n)::uuid"
    multiply(ClientSearchCode, client_id=client, code=SOME_CODE, part=SOME_NAME)
    # These two go through the rows of other places in the order of the list: what a page of one
    # place costs is in proportion to the number of places.
    twenty = "CASE WHEN random() < 0.05 THEN copied.facility_id ELSE gen_random_uuid() END"
    multiply(ClientFacility, client_id=client, facility_id=twenty)
    called = "CASE WHEN mod(n, 50) = 0 THEN 'on_call_list' ELSE 'planned' END"
    multiply(Recheck, facility_id=twenty, status=called, on_call_list_at="copied.call_at")
    for model in (
        Call,
        Reading,
        Goal,
        PostureFinding,
        Prescription,
        HomeExercise,
        Visit,
        Disclosure,
        SettingChange,
        Circumferences,
        TreatmentGoal,
        HomeExerciseReport,
    ):
        multiply(model)
    unseen = "CASE WHEN mod(n, 200) = 0 THEN 'waiting' ELSE 'not_required' END"
    multiply(Note, co_signature=unseen)
    multiply(ProgressNote)
    # In one of fifty periods a note is waited for, in the others every day is covered.
    begun = "CASE WHEN mod(n, 50) = 0 THEN DATE '2026-02-02' + mod(n, 25) END"
    ten = {"day_count": "10", "last_day": "DATE '2026-03-02'", "covered": "'{}'::jsonb"}
    multiply(TreatmentPeriod, begins_on=begun, **ten)
    Payer.objects.update(progress_note_rule={"source": "contract of 2026-01-04"})
    multiply(Authorization, id="md5('authorization_id' || n)::uuid", number="'PA-' || n")
    # One in a hundred reads was refused.
    multiply(AccessEntry, outcome="CASE WHEN mod(n, 100) = 0 THEN 'refused' ELSE 'read' END")
    stream = "md5('client_id' || mod(n, 1000))::uuid"
    multiply(StoredEvent, position="1000000 + n", stream=stream, version="1 + n / 1000")
    multiply(Order, kind="'clearance'", expires_on="copied.given_on + day")
    few = "CASE WHEN random() < 0.2 THEN copied.needed_by + day END"
    waits = "CASE WHEN mod(n, 100) = 0 THEN 'waiting' ELSE 'answered' END"
    few_open = "CASE WHEN mod(n, 50) = 0 THEN 'open' ELSE 'closed' END"
    # With 2,000 calls to make the planner sorts them all, which is as quick and above the bound.
    to_call = "CASE WHEN mod(n, 100) = 0 THEN copied.call_on + day END"
    multiply(Incident, status=few_open, call_on=to_call)
    multiply(Paper, status=waits, expires_on=few)
    multiply(
        Session,
        status="CASE WHEN day > 0 THEN 'booked' ELSE 'completed' END",
        flagged="mod(n, 50) = 0",
        entered_elsewhere="mod(n, 500) = 7",
        flagged_at="copied.evaluated_at",
    )
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


OF_A_PAGE: Final = 2 * MOST
"""All authorizations of the clients on a page, which are compared: here a hundred of each."""
OF_WAITING: Final = 3 * MOST
"""The same where each client on the page is another one: 20 times a hundred, unevenly dealt."""
PLACE: Final = SIZE // 20 * 2
"""The clients of one place, whose ids a list by name goes through, and as many to spare."""


class Asked(NamedTuple):
    """A list as someone asks for it: address, query, role. ``least``: rows of the short page; a
    page of the call list sends what each kind of reason on it needs, so one kind is compared.
    ``sometimes``: reads that only some of its rows ask for, one for all of them."""

    path: str
    query: dict[str, str] = {}
    role: Role = Role.OWNER
    most: int = MOST
    paged: bool = True
    least: int = 1
    sometimes: int = 0

    def __str__(self) -> str:
        query = "&".join(f"{name}={value}" for name, value in self.query.items())
        return f"{self.role.value} {self.path}?{query}"


HERE: Final = {"facility_id": "facility"}
REASONS: Final = (
    *("recheck_due", "session_narrowed", "paper_overdue", "paper_expiring", "order_expiring"),
)
LATER: Final = {"from": "2026-06-01"}
DAY: Final = {"from": "2026-03-09", "to": "2026-03-09"}
LONG_AGO: Final = {"until": "2024-06-01T00:00:00Z"}
OPEN_TIMES: Final = {
    "client_id": "client",
    "minutes": "60",
    "from": "2026-03-09",
    "to": "2026-12-31",
}
ON_THAT_DAY: Final = {"day": "2026-03-09"}
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
    Asked("sessions", {"entered_elsewhere": "true"}),
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
    Asked("clients/{client}/history/by-date", {}, HANDS),
    Asked("clients/{client}/history/by-date", {"kind": "measurements"} | LATER, HANDS),
    Asked("clients/{client}/history", {"known_at": "2199-01-01T00:00:00Z"}, HANDS),
    Asked("clients/{client}/history", {"occurred_until": "2199-01-01T00:00:00Z"}, HANDS),
    Asked("clients/{client}/orders", {}, HANDS, paged=False),
    Asked("clients/{client}/circumferences", {}, HANDS, paged=False),
    Asked("clients/{client}/visit-summaries", {}, BILLING),
    Asked("clients/{client}/disclosures", {}, BILLING),
    Asked("open-times", OPEN_TIMES | HERE, DESK),
    Asked("open-times", OPEN_TIMES, DESK),
    Asked("open-times", OPEN_TIMES | {"order": "time"} | HERE, DESK),
    Asked("clients/{client}/treatment-goals", {}, HANDS),
    Asked("clients/{client}/home-exercise-reports", {}, HANDS),
    Asked("incidents"),
    Asked("incidents", {"status": "open"}),
    Asked("incidents", {"status": "open"}, HANDS, PLACE),
    Asked("incidents", {"kind": "fall"} | LONG_AGO),
    Asked("clients/{client}/incidents", {}, HANDS),
    Asked("call-list", {"reason": "follow_up_call"}, DESK, PLACE),
    Asked("papers"),
    Asked("papers", {}, DESK, PLACE),
    Asked("papers", {"status": "waiting"}, DESK, PLACE),
    Asked("papers", {"status": "waiting", "overdue": "true"}),
    Asked("papers", {"expiring": "true"}),
    Asked("papers", {"client_id": "client"}, HANDS),
    Asked("papers", {"kind": "clearance"} | LATER),
    *(Asked("call-list", {"reason": one}) for one in REASONS),
    Asked("call-list", {"reason": "order_expiring"}, DESK, PLACE),
    Asked("call-list", {}, DESK, PLACE, least=20),
    Asked("call-list", least=20),
    Asked("call-list", HERE, most=PLACE, least=20),
    Asked("call-list", {"client_id": "client"}, HANDS, least=20),
    Asked("clients/{client}/calls", {}, DESK),
    Asked("day-sheet", HERE | ON_THAT_DAY, DESK, paged=False),
    Asked("day-sheet", {"practitioner_id": "practitioner"} | ON_THAT_DAY, HANDS, paged=False),
    Asked("rechecks", {}, DESK),
    Asked("rechecks", {"open": "true"}, DESK),
    Asked("rechecks", {"status": "on_call_list"} | HERE, DESK),
    Asked("rechecks", {"practitioner_id": "practitioner"} | DAY, HANDS),
    Asked("notes/outside-permission"),
    Asked("notes/outside-permission", {}, HANDS),
    Asked("notes/awaiting-co-signature"),
    Asked("notes/awaiting-co-signature", {"to_co_sign": "true"}, HANDS),
    Asked("authorizations", {}, BILLING, OF_A_PAGE),
    Asked("authorizations", {"payer_id": "payer"}, BILLING, OF_A_PAGE),
    Asked("authorizations", {"client_id": "client"}, BILLING),
    Asked("authorizations", {"state": "open"}, BILLING, OF_A_PAGE),
    Asked("visits", {}, BILLING, sometimes=1),  # What it would be worth.
    Asked("visits", {"covered": "not_covered"}, BILLING, sometimes=1),
    Asked("visits", {"awaiting_override": "true"}, BILLING, sometimes=1),
    Asked("visits", {"payer_id": "payer"}, BILLING, sometimes=1),
    Asked("visits", {"client_id": "client"}, BILLING, sometimes=1),
    Asked("authorizations/{authorization}/visits", {}, BILLING),
    Asked("progress-notes/due", {}, BILLING, OF_WAITING),
    Asked("progress-notes/due", {"status": "overdue"}, BILLING, OF_WAITING),
    Asked("progress-notes/due", {"payer_id": "payer"}, BILLING, OF_WAITING),
    Asked("progress-notes/due", {"client_id": "client"}, HANDS),
    Asked("clients/{client}/progress-notes", {}, BILLING),
    Asked("access-log"),
    Asked("access-log", {"client_id": "client"}),
    Asked("access-log", {"staff_id": "me"}),
    Asked("access-log", {"outcome": "refused"}),
    Asked("access-log", LONG_AGO),
    Asked("access-log", LONG_AGO | {"client_id": "client"}),
    Asked("access-log", LONG_AGO | {"staff_id": "me"}),
    Asked("access-log", LONG_AGO | {"outcome": "refused"}),
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
    "incident_by_time": Asked("incidents", {"kind": "fall"}),
    "incident_open": Asked("incidents", {"status": "open"}),
    "incident_to_call": Asked("call-list", {"reason": "follow_up_call"}),
    "paper_by_need": Asked("papers", {"kind": "clearance"}),
    "paper_by_status": Asked("papers", {"status": "waiting"}),
    "paper_by_end": Asked("papers", {"expiring": "true"}),
    "order_by_end": Asked("call-list", {"reason": "order_expiring"}),
    "recheck_by_due": Asked("rechecks", {}, DESK),
    "note_awaits_co_signature": Asked("notes/awaiting-co-signature"),
    "recheck_to_call": Asked("call-list", {"reason": "recheck_due"}),
    "session_entered_elsewhere": Asked("sessions", {"entered_elsewhere": "true"}),
    "session_flagged": Asked("call-list", {"reason": "session_narrowed"}),
    "authorization_by_last_day": Asked("authorizations", {}, BILLING),
    "authorization_by_number": Asked("clients/{client}/authorizations", {}, BILLING),
    "treatment_period_running": Asked("progress-notes/due", {}, BILLING, OF_WAITING),
    "visit_by_day": Asked("visits", {}, BILLING),
    "access_by_time": Asked("access-log", LONG_AGO),
    "access_of_client": Asked("access-log", {"client_id": "client"}),
    "access_of_staff": Asked("access-log", {"staff_id": "desk"}),
    "access_refused": Asked("access-log", {"outcome": "refused"}),
    "waiting_by_time": Asked("waiting-list"),
    "job_by_due": Asked("jobs"),
    "job_by_status": Asked("jobs", {"status": "given_up"}),
}
"""Indexes, and a list that none of the others would answer."""


FOUND_BY: Final = (
    {"name": "marsh"},
    {"name": "mrash, rosa"},
    {"name": "lindqvist"},
    {"name": "van der lindq"},
    {"name": "Lindqvist, Maja"},
    {"name": "lindqvsit"},
    {"phone": "999 0123"},
    {"phone": "+1 415 999 0123"},
    {"name": "lindqvist", "birth_date": "1971-04"},
    {"name": "lindqvist", "birth_date": "1971", "phone": "90123"},
)
"""Searches by names, parts, a slip, phones, days. None of them finds a copy: copies have no key,
under which what was asked is kept with who was found."""


@pytest.mark.parametrize("role", [Role.OWNER, DESK])
@pytest.mark.parametrize("body", FOUND_BY, ids=str)
def test_a_search_comes_from_an_index(grown: Prepared, role: Role, body: dict[str, str]) -> None:
    with listening() as heard:
        ok(grown.api(role).post("clients/search?page_size=20", body))
    assert faults_of(heard, PLACE if role is DESK else MOST) == []


@pytest.mark.parametrize("role", [Role.OWNER, DESK])
def test_doubles_are_looked_for_by_indexes(grown: Prepared, role: Role) -> None:
    body = {"given_name": "Maja", "family_name": "Lindqvist", "birth_date": "1971-04-23"}
    with listening() as heard:
        ok(grown.api(role).post("clients/possible-doubles", {**body, "phone": "+14150000123"}))
    assert faults_of(heard, PLACE if role is DESK else MOST) == []


@pytest.mark.parametrize("index", ["client_by_code"])
def test_without_its_index_a_search_is_seen_to_read_too_much(grown: Prepared, index: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"DROP INDEX {index}")  # It comes back with the end of the test.
    with listening() as heard:
        ok(grown.api(Role.OWNER).post("clients/search", {"name": "lindqvist"}))
    assert faults_of(heard) != []


def _heard(p: Prepared, asked: Asked, page_size: int = 20) -> list[Statement]:
    """The statements of the request."""
    path = asked.path
    for thing, made in p.made.items():
        path = path.replace(f"{{{thing}}}", made)
    query = {name: p.made.get(value, value) for name, value in asked.query.items()}
    paging = {"page_size": str(page_size)} if asked.paged else {}
    with listening() as heard:
        ok(p.api(asked.role).get(path, query | paging))
    assert heard
    return heard


def _faults(p: Prepared, asked: Asked) -> list[str]:
    return faults_of(_heard(p, asked), asked.most)


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_a_page_of_a_list_comes_from_an_index(grown: Prepared, asked: Asked) -> None:
    assert _faults(grown, asked) == []


def test_what_expires_is_found_from_an_index_where_it_is_not_the_same_day_everywhere(
    grown: Prepared,
) -> None:
    """At 01:00 in the east it is yesterday in the west: two conditions, one range around both."""
    at = datetime.fromisoformat("2026-03-03T01:00:00-05:00")
    with listening() as heard:
        found = list(Paper.objects.filter(papers_expiring(LocalDays(at)))[:20])
    assert len(found) == 20
    assert faults_of(heard) == []


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


def _summaries_of_an_authorization(p: Prepared) -> list[str]:
    # The clients of the copies have no record, so that the request itself would be 404.
    rows = disclosure_list().filter(authorization_id=p.id("authorization"))
    with listening() as heard:
        list(rows.order_by(*SentSummaryListView.order)[:21])
    return faults_of(heard)


def test_the_summaries_of_an_authorization_come_from_their_index(grown: Prepared) -> None:
    assert _summaries_of_an_authorization(grown) == []
    with connection.cursor() as cursor:
        cursor.execute("DROP INDEX disclosure_by_authorization")
    assert _summaries_of_an_authorization(grown) != []


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_a_list_takes_as_many_statements_for_one_row_as_for_twenty(
    grown: Prepared, asked: Asked
) -> None:
    _heard(grown, asked)  # What a process keeps of the practice is kept from here on.
    one, twenty = (len(_heard(grown, asked, size)) for size in (asked.least, 20))
    assert one <= twenty <= one + asked.sometimes
