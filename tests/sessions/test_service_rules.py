"""Rules of the sessions app that stand between the record and what is asked: whose, when, where."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import msgspec
import pytest
from django.core import checks

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.consent.domain.events import ConsentWithdrawn
from clients.health.domain.content import Condition, HistoryContent
from clients.health.domain.events import HistoryReported
from clients.health.domain.terms import ConditionKind
from clients.identity.domain.events import ClientDetailsChanged
from clients.identity.domain.state import IDENTITY
from practice.core.events import DatedEvent
from practice.core.reasons import Rejected
from practice.core.terms import Allowance, Role, SessionPart, Side, Technique
from practice.people_and_places.models.facilities import FacilityRule
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.booking.services.reviews import words_review
from sessions.calendar import guards
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.catalogue.domain.terms import Dose
from sessions.catalogue.services import check_content, stretches_in_file
from sessions.notes.domain.state import NOTES
from sessions.reevaluation.services import _notes_reached
from sessions.session_split.selectors.training import SessionMinutes, _weeks, zones_for
from sessions.stretches.domain.events import StretchPrescribed
from sessions.stretches.services.prescriptions import not_permitted, stretches_end
from tests.builders import Built, build_practice, ok, refused
from tests.dsl import recorded
from tests.sessions.booking.http import book, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import doing, open_client, tell
from tests.sessions.stretches.test_home_exercises import exercise

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def prescribed(**changes: Any) -> StretchPrescribed:
    values: dict[str, Any] = {
        "prescription_id": uuid4(),
        "stretch": "abduction_pattern",
        "name": "Abduction",
        "catalogue_version": 1,
        "side": Side.RIGHT,
        "techniques": (Technique.PASSIVE,),
        "doses": (),
        "movements": (),
    }
    return StretchPrescribed(**{**values, **changes})


def change_details(built: Built, client_id: UUID, **changes: Any) -> None:
    details = doing(built, lambda uow: uow.states(client_id, (IDENTITY,))[IDENTITY].details)
    changed = ClientDetailsChanged(details=msgspec.structs.replace(details, **changes))
    tell(built, client_id, changed)


def test_what_was_kept_for_a_session_is_of_that_session_alone(built: Built) -> None:
    client_id = open_client(built)
    first, second = book(built, client_id, local(3)), book(built, client_id, local(5))
    api = built.api(Role.PRACTITIONER)
    for one in (first, second):
        found = ok(api.get(f"sessions/{one['id']}/kept-permissions"))["results"]
        assert len(found) == 1


@pytest.mark.parametrize(
    ("allowance", "technique", "supervised", "barred"),
    [
        (Allowance.UNDER_SUPERVISION, Technique.PASSIVE, {Technique.PASSIVE}, set()),
        (Allowance.UNDER_SUPERVISION, "", set(Technique), set()),
        (Allowance.NOT_ALLOWED, Technique.PASSIVE, set(), {Technique.PASSIVE}),
        (Allowance.ALLOWED, Technique.PASSIVE, set(), set()),
    ],
)
def test_a_facilitys_rules_supervise_what_they_say_and_bar_what_they_say(
    built: Built, allowance: Allowance, technique: str, supervised: set, barred: set
) -> None:
    FacilityRule.objects.create(
        facility=built.east, technique=technique, allowance=allowance, reason="a test's own"
    )
    found = PracticeRows().facility_facts(built.east.pk)
    assert set(found.techniques_supervised) == supervised
    assert set(found.techniques_barred) == barred


def test_cardio_zones_ask_for_a_birth_date(built: Built) -> None:
    client_id = open_client(built)
    assert zones_for(client_id, 60, beta_blocker=False).zones
    change_details(built, client_id, birth_date=None)
    with pytest.raises(Rejected) as caught:
        zones_for(client_id, 60, beta_blocker=False)
    assert (caught.value.status, set(caught.value.fields)) == (400, {"birth_date"})


def test_hours_make_up_weeks_from_monday_the_newest_first(built: Built) -> None:
    monday = date(2026, 3, 2)
    hours = [
        SessionMinutes(uuid4(), day, None, {SessionPart.CARDIO: 10})
        for day in (
            monday - timedelta(days=1),
            monday,
            monday + timedelta(days=6),
            monday + timedelta(days=7),
        )
    ]
    found = [(one.begins, one.cardio.minutes) for one in _weeks(hours)]
    assert found == [
        (monday + timedelta(days=7), 10),
        (monday, 20),
        (monday - timedelta(days=7), 10),
    ]


@pytest.mark.parametrize("reason", ["", "  "])
def test_all_stretches_end_for_a_reason(built: Built, reason: str) -> None:
    client_id = open_client(built)
    with pytest.raises(Rejected) as caught:
        doing(
            built,
            lambda uow: stretches_end(uow, client_id=client_id, command={"reason": reason}),
            Role.PRACTITIONER,
        )
    assert (caught.value.status, set(caught.value.fields)) == (400, {"reason"})


@pytest.mark.parametrize(
    ("role", "here", "warned"),
    [
        (Role.PRACTITIONER, True, True),
        (Role.PRACTITIONER, False, False),
        (Role.OWNER, True, False),
    ],
)
def test_a_prescription_is_judged_for_who_prescribes_it_and_where(
    built: Built, role: Role, *, here: bool, warned: bool
) -> None:
    """By nobody who treats, or nowhere, there is nothing to judge; that is no failure."""
    client_id = open_client(built)
    tell(built, client_id, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    if not here:
        change_details(built, client_id, facility_ids=())
    found = doing(built, lambda uow: not_permitted(uow, client_id, prescribed()), role)
    assert bool(found) is warned


@pytest.mark.parametrize(("minutes", "marked"), [(-1, True), (0, False)])
def test_a_fact_entered_late_reaches_the_session_until_its_end(
    built: Built, minutes: int, *, marked: bool
) -> None:
    session = took_place(built, open_client(built))
    phone = Device(built, session["id"])
    phone.save(**whole_note(lines=[line(minute=None)]))
    ok(phone.sign(), 201)
    row = Session.objects.get(pk=session["id"])
    gone = DatedEvent(
        ConsentWithdrawn(consent_id=None, reason="Told the desk."),
        row.ends_at + timedelta(minutes=minutes),
    )
    tell(built, row.client_id, gone)
    assert bool(ok(phone.api.get(phone.path))["signed"]["outside"]) is marked


@pytest.mark.parametrize(
    ("since", "reached"), [(None, False), (timedelta(days=30), True), (-timedelta(days=1), False)]
)
def test_a_report_of_the_moment_reaches_back_by_the_days_it_bears_alone(
    built: Built, since: timedelta | None, *, reached: bool
) -> None:
    """Ruling 47: told within the hour of a note that was signed before its end."""
    session = took_place(built, open_client(built))
    phone = Device(built, session["id"])
    phone.save(**whole_note(lines=[line(minute=None)]))
    ok(phone.sign(), 201)
    row = Session.objects.get(pk=session["id"])
    on = None if since is None else row.local_date - since
    told = HistoryReported(
        report_id=uuid4(),
        content=HistoryContent(
            conditions=(Condition(id=uuid4(), kind=ConditionKind.CLOT, since=on),)
        ),
    )
    rec = msgspec.structs.replace(
        recorded(told, 99, row.ends_at - timedelta(minutes=10)), stream=row.client_id
    )
    known = doing(built, lambda uow: uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR, NOTES)))
    assessor = SessionAssessor(row.client_id, client_facts(known))
    found = list(_notes_reached(row.client_id, assessor, known[CALENDAR], known[NOTES], rec))
    assert bool(found) is reached


@pytest.mark.parametrize("side", ["both", "right"])
def test_a_home_exercise_is_on_a_side_that_the_stretch_has(built: Built, side: str) -> None:
    path, api = f"clients/{open_client(built)}/home-exercises", built.api(Role.PRACTITIONER)
    answer = api.post(path, exercise(side=side))
    if side == "right":
        ok(answer, 201)
    else:
        problem = refused(answer, 400, "invalid")
        assert problem["errors"][0]["field"] == "side"


@pytest.mark.parametrize(
    ("repetitions", "taken"), [(0, False), (1, True), (100, True), (101, False)]
)
def test_the_catalogue_takes_no_dose_that_cannot_be_meant(repetitions: int, *, taken: bool) -> None:
    raw = stretches_in_file()["abduction_pattern"]
    first, *others = raw["doses"]
    changed = {**raw, "doses": [{**first, "repetitions": repetitions}, *others]}
    if taken:
        assert isinstance(check_content(changed).doses[0], Dose)
    else:
        with pytest.raises(Rejected) as caught:
            check_content(changed)
        assert "repetitions" in caught.value.fields


@pytest.mark.parametrize("role", [Role.OWNER, Role.FRONT_DESK, Role.BILLING])
def test_what_a_client_said_is_reviewed_by_practitioners_alone(built: Built, role: Role) -> None:
    session = took_place(built, open_client(built))
    command = {"words": ["a pull"], "found": "Nothing.", "red_flags": ()}
    with pytest.raises(Rejected) as caught:
        doing(
            built,
            lambda uow: words_review(uow, session_id=UUID(session["id"]), command=command),
            role,
        )
    assert (caught.value.code, caught.value.status) == ("forbidden", 403)


def test_a_database_without_the_calendars_guards_is_found_by_the_checks() -> None:
    known: list[Any] = checks.registry.registry.get_checks(include_deployment_checks=True)
    assert guards.check_session_guards in known


def test_a_client_leaves_a_facility_that_the_caller_sees_and_no_other(built: Built) -> None:
    client_id = open_client(built, built.east)
    desk = built.api(Role.OWNER)
    moved = ok(desk.change(f"clients/{client_id}", {"facility_ids": [str(built.west.pk)]}))
    assert moved["facility_ids"] == [str(built.west.pk)]
