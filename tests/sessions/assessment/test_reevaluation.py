"""What a changed fact does to sessions to come and to notes already signed."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.consent.domain.events import ConsentWithdrawn
from clients.health.domain.content import Condition, HistoryContent
from clients.health.domain.events import HistoryReported
from clients.health.domain.terms import ConditionKind
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Gender, Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy import selectors
from practice.policy.hooks import EVALUATED_BY, notify_settings_changed
from practice.policy.models import PracticeSetting
from practice.work.request_cache import invalidate
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.reevaluation.services import REEVALUATION_SWEEP
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import consent, doing, open_client, prefers, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def session(given: dict[str, Any]) -> Session:
    return Session.objects.get(pk=given["id"])


def withdrawn() -> ConsentWithdrawn:
    return ConsentWithdrawn(consent_id=None, reason="Not any more.")


def test_withdrawing_consent_flags_future_hands_on_sessions_at_once(built: Built) -> None:
    client = open_client(built)
    first, second = book(built, client, local(3)), book(built, client, local(10))
    alone = book(built, client, local(5), requested_mode="self_directed")
    another = book(built, open_client(built), local(4))
    before = book(built, client, local(-2), attendance="attended")
    outcome = tell(built, client, withdrawn())
    assert [one.type for one in outcome.events] == [
        "consent.withdrawn",
        "session.flagged",
        "session.flagged",
    ]
    for one in (first, second):
        row = session(one)
        assert (row.flagged, row.mode, row.planned_mode) == (True, "self_directed", "hands_on")
        assert row.flag_cause == "consent.withdrawn"
        assert "consent.withdrawn" in {reason["code"] for reason in row.flag_reasons}
    assert not any(session(one).flagged for one in (alone, another, before))


def test_flagged_sessions_are_on_the_desks_list(built: Built) -> None:
    client = open_client(built)
    flagged = book(built, client, local(3))
    book(built, open_client(built), local(4))
    tell(built, client, withdrawn())
    found = ok(built.api(Role.FRONT_DESK).get("sessions", {"flagged": "true"}))["results"]
    assert [one["id"] for one in found] == [flagged["id"]]


def test_a_new_consent_turns_nothing_hands_on_until_a_person_plans_anew(built: Built) -> None:
    client = open_client(built)
    flagged = book(built, client, local(3))
    tell(built, client, withdrawn())
    alone = book(built, client, local(5))
    tell(built, client, consent())
    assert (session(flagged).mode, session(flagged).flagged) == ("self_directed", True)
    assert session(alone).planned_mode == "self_directed"
    for one in (flagged, alone):
        sent = {"requested_mode": "hands_on", "reason": "The client consented again."}
        anew = ok(built.api(Role.FRONT_DESK).post(f"sessions/{one['id']}/move", sent))
        assert (anew["planned_mode"], anew["flagged"]) == ("hands_on", False)
        assert anew["requested_mode"] == "hands_on"


def test_a_reported_clot_flags_with_a_reason_that_the_desk_does_not_read(built: Built) -> None:
    client = open_client(built)
    booked = book(built, client, local(3))
    clot = Condition(id=uuid4(), kind=ConditionKind.CLOT, suspected=True)
    content = HistoryContent(conditions=(clot,), pathology_under_treatment=False)
    tell(built, client, HistoryReported(report_id=uuid4(), content=content))
    assert session(booked).mode == "not_today"
    shown = ok(built.api(Role.FRONT_DESK).get(f"sessions/{booked['id']}"))
    assert {one["code"] for one in shown["flag_reasons"]} == {"health"}
    own = ok(built.api(Role.PRACTITIONER).get(f"sessions/{booked['id']}"))
    assert "health" not in {one["code"] for one in own["flag_reasons"]}


def test_a_stated_preference_flags_sessions_with_others(built: Built) -> None:
    client = open_client(built)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    with_marco = book(built, client, local(3), practitioner_id=str(marco.pk))
    with_paula = book(built, client, local(4))
    tell(built, client, prefers(Gender.WOMAN))
    assert session(with_marco).flagged
    assert not session(with_paula).flagged


def test_a_changed_table_of_law_flags_by_due_work_and_judges_each_client_once(
    built: Built,
) -> None:
    client = open_client(built)
    booked = book(built, client, local(3))
    JurisdictionLimit.objects.filter(credential=Credential.PHYSICAL_THERAPIST).delete()
    doing(built, notify_settings_changed)
    assert not session(booked).flagged, "the sweep is a job"
    run_due_jobs()
    row = session(booked)
    assert (row.flagged, row.mode, row.flag_cause) == (True, "self_directed", "settings")
    assert "law.unknown" in {reason["code"] for reason in row.flag_reasons}
    version = row.version
    doing(built, notify_settings_changed)
    run_due_jobs()
    assert session(booked).version == version, "what is flagged already is not flagged again"


@pytest.mark.parametrize(
    ("group", "sweeps"),
    [
        ("permissions", 1),
        ("supervision", 1),
        ("swelling", 1),
        ("calendar", 1),
        ("access", 0),
        ("remind_session_tomorrow", 0),
    ],
)
def test_only_a_setting_on_which_permissions_depend_starts_the_sweep(
    built: Built, group: str, sweeps: int
) -> None:
    row = PracticeSetting.objects.filter(group=group).order_by("key")[0]
    before = ScheduledJob.objects.filter(kind=REEVALUATION_SWEEP).count()
    body = {"value": row.value, "citation": "practice policy of the day"}
    owner = built.api(Role.OWNER)
    ok(owner.patch(f"settings/{row.pk}", body, match=row.revision))
    assert ScheduledJob.objects.filter(kind=REEVALUATION_SWEEP).count() - before == sweeps


def test_every_group_by_which_a_session_is_evaluated_is_declared(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    client, read = open_client(built), set[str]()
    booked = book(built, client, local(3))
    calendar = doing(built, lambda uow: uow.states(client, (CALENDAR, *CLIENT_FACTS)))
    every = selectors._every_setting

    class Heard(dict[str, Any]):
        def get(self, group: str, default: Any = None) -> Any:
            read.add(group)
            return super().get(group, default)

    monkeypatch.setattr(selectors, "_every_setting", lambda: Heard(every()))
    invalidate()
    session = calendar[CALENDAR].session(UUID(booked["id"]))
    SessionAssessor(client, client_facts(calendar)).session(session).planned()
    assert {"permissions", "supervision", "swelling"} <= read <= set(EVALUATED_BY.answers)


def test_the_sessions_of_someone_who_left_are_flagged_by_due_work(built: Built) -> None:
    booked = book(built, open_client(built), local(3))
    Practitioner.objects.filter(pk=booked["practitioner_id"]).update(is_active=False)
    doing(built, notify_settings_changed)
    run_due_jobs()
    row = session(booked)
    assert (row.flagged, row.mode) == (True, "not_today")
    assert "practitioner.left" in {reason["code"] for reason in row.flag_reasons}


def test_a_consent_that_ends_before_the_day_does_not_cover_it(built: Built) -> None:
    client = open_client(built)
    booked = book(built, client, local(20))
    assert booked["planned_mode"] == "hands_on"
    short = consent()
    today = clock.now().date()
    ending = type(short)(
        consent_id=UUID(int=1),
        scope=short.scope,
        obtained=short.obtained,
        given_on=today,
        until=today + timedelta(days=10),
    )
    tell(built, client, ending)
    assert {one["code"] for one in session(booked).flag_reasons} >= {"consent.expired"}


def test_facts_that_narrow_nothing_flag_nothing(built: Built) -> None:
    client = open_client(built)
    booked = book(built, client, local(3))
    outcome = tell(built, client, DatedEvent(consent(), clock.now()))
    assert [one.type for one in outcome.events] == ["consent.recorded"]
    assert not session(booked).flagged
