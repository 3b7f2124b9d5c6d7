"""What the staff is reminded of: once, decided again at its time, seen by whom it is for."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from dateutil.relativedelta import relativedelta
from msgspec import structs

from clients.consent.domain.events import ConsentRecorded, ConsentWithdrawn
from clients.consent.reminders import CONSENT_EXPIRING
from clients.identity.domain.contact import ContactBy
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.identity.selectors import client_details_row
from clients.reminders.domain.kinds import Question, Wanted
from clients.reminders.domain.rules import ClientRule
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from practice.policy.selectors import settings_group
from tests.builders import Api, Built, ok, refused
from tests.clients.reminders.given import (
    booked_tomorrow,
    job_states,
    of_kind,
    on_day,
    reachable,
    rule,
    tick,
)
from tests.sessions.booking.http import WELL, body, key, local
from tests.sessions.people import consent, open_client, reminder_of, tell

NEW = {"jurisdiction": "US-OH", "credential": "physical_therapist", "number": "OH-77"}


def licence(owner: Api, built: Built, days: int, number: str = "OH-77") -> dict[str, Any]:
    """A licence that expires so many days from today."""
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    dates = {"valid_from": local(-300)[:10], "expires_on": local(days)[:10]}
    made = {**NEW, **dates, "number": number}
    found: dict[str, Any] = ok(owner.post(f"practitioners/{paula}/licences", made), 201)
    return {**found, "path": f"practitioners/{paula}/licences/{found['id']}"}


def test_a_licence_that_expires_is_told_to_the_owner_once(built: Built) -> None:
    owner = built.api(Role.OWNER)
    licence(owner, built, 100)
    tick(on_day(39))
    assert of_kind("licence_expiring") == []
    for day in (40, 41, 60):  # 60 days before.
        tick(on_day(day))
    (row,) = of_kind("licence_expiring")
    assert (row.addressee, row.client_id, row.status) == ("owner", None, "listed")
    assert "OH-77" in row.told
    assert "Paula" in row.told
    shown = ok(owner.get("reminders", {"status": "listed"}))["results"]
    assert [one["id"] for one in shown] == [str(row.pk)]
    for role in (Role.FRONT_DESK, Role.PRACTITIONER):
        assert ok(built.api(role).get("reminders"))["results"] == []
    done = ok(owner.post(f"reminders/{row.pk}/done"))
    assert (done["status"], done["done_at"] is not None) == ("done", True)
    assert ok(owner.post(f"reminders/{row.pk}/done"))["done_at"] == done["done_at"]


def test_a_licence_that_was_renewed_is_told_by_its_new_day(built: Built) -> None:
    owner = built.api(Role.OWNER)
    made = licence(owner, built, 100)
    tick(on_day(50))
    ok(owner.change(made["path"], {"expires_on": local(400)[:10]}))
    tick(on_day(99))
    assert len(of_kind("licence_expiring")) == 1
    tick(on_day(341))
    assert len(of_kind("licence_expiring")) == 2


def test_a_licence_with_another_behind_it_is_none_to_tell_of(built: Built) -> None:
    owner = built.api(Role.OWNER)
    licence(owner, built, 100)
    licence(owner, built, 800, number="OH-78")
    tick(on_day(60))
    assert of_kind("licence_expiring") == []


def until(days: int) -> ConsentRecorded:
    """A consent that ends so many days from today."""
    return structs.replace(consent(), until=clock.now().date() + timedelta(days=days))


def test_a_consent_that_ends_is_told_to_the_desk(built: Built) -> None:
    client_id = open_client(built)
    given = until(100)
    tell(built, client_id, given)
    tick(on_day(69))
    assert of_kind("consent_expiring") == []
    tick(on_day(70))
    tick(on_day(80))
    (row,) = of_kind("consent_expiring")
    assert (row.addressee, row.status, row.client_id) == ("desk", "listed", client_id)


@pytest.mark.parametrize("years", [17, 18])
def test_a_consent_that_never_stood_is_not_told_of(built: Built, years: int) -> None:
    """Ruling 56: who signed alone as a minor; an adult's ends, and is told."""
    client_id = open_client(built)
    tell(built, client_id, until(100))
    signed = clock.now().date() - timedelta(days=30)
    row = client_details_row(client_id)
    details = ClientDetails(
        given_name=row.given_name,
        birth_date=signed - relativedelta(years=years),
        zone=row.zone,
        facility_ids=(built.east.pk,),
    )
    tell(built, client_id, ClientDetailsChanged(details=details))
    tick(on_day(90))
    assert len(of_kind("consent_expiring")) == years - 17


@pytest.mark.parametrize("what", ["renewed", "withdrawn"])
def test_a_consent_that_does_not_stand_any_more_is_not_told_of(built: Built, what: str) -> None:
    client_id = open_client(built)
    given = until(100)
    tell(built, client_id, given)
    after = until(300) if what == "renewed" else ConsentWithdrawn(consent_id=given.consent_id)
    tell(built, client_id, after)  # Recorded after the one that it follows.
    tick(on_day(90))
    assert of_kind("consent_expiring") == []


def asked(client_id: UUID, given: ConsentRecorded) -> Wanted | None:
    """What is decided of one consent at its time."""
    remind, _ = settings_group(CONSENT_EXPIRING.job, ClientRule)
    about, now = given.consent_id, clock.now()
    one = Question(client_id=client_id, about=about, occasion="", rule=remind, now=now)
    return CONSENT_EXPIRING.decider([one])(one)


def test_of_two_consents_only_the_one_that_stands_is_told_of(built: Built) -> None:
    client_id = open_client(built)
    first, second = until(20), until(25)
    tell(built, client_id, first)
    assert (found := asked(client_id, first)) is not None
    assert found.day == first.until
    tell(built, client_id, second)
    assert asked(client_id, first) is None, "another stands in its place, though it ends soon too"
    assert (found := asked(client_id, second)) is not None
    assert found.day == second.until
    tell(built, client_id, ConsentWithdrawn(consent_id=second.consent_id, reason="No more."))
    assert asked(client_id, second) is None, "nothing ends that was withdrawn"


def test_a_paper_that_is_not_answered_is_told_after_its_day(built: Built) -> None:
    client_id = open_client(built)
    desk = built.api(Role.FRONT_DESK)
    sent = {
        "kind": "referral",
        "asked_of": {"name": "Otto Lang", "role": "physician"},
        "needed_by": local(10)[:10],
    }
    late, answered = (ok(desk.post(f"clients/{client_id}/papers", sent), 201) for _ in range(2))
    answer = {"outcome": "given", "answered_by": "Otto Lang"}
    ok(desk.post(f"clients/{client_id}/papers/{answered['id']}/answer", answer))
    tick(on_day(10))
    assert of_kind("paper_unanswered") == []
    tick(on_day(11))
    (row,) = of_kind("paper_unanswered")
    assert (str(row.about), row.addressee) == (late["id"], "desk")


def test_a_note_is_told_of_to_its_author_after_two_days(built: Built) -> None:
    client_id = open_client(built)
    desk = built.api(Role.FRONT_DESK)
    took = body(built, client_id, local(-1, 10), attendance="attended", answers=WELL)
    session = ok(desk.post("sessions", took, key=key()), 201)
    tick(on_day(1, 10))
    assert of_kind("note_unsigned") == []
    tick(on_day(1, 11))
    tick(on_day(3))
    (row,) = of_kind("note_unsigned")
    assert str(row.about) == session["id"]
    assert row.practitioner_id == built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    (mine,) = ok(built.api(Role.PRACTITIONER).get("reminders"))["results"]
    assert mine["kind"] == "note_unsigned"
    assert ok(desk.get("reminders"))["results"] == []


def test_whom_a_reminder_is_for_is_the_practices_own(built: Built) -> None:
    owner = built.api(Role.OWNER)
    rule("licence_expiring", addressee="desk")
    licence(owner, built, 50)
    tick(on_day(1))
    assert of_kind("licence_expiring")[0].addressee == "desk"


@pytest.mark.parametrize(
    ("group", "key_", "value"),
    [
        ("remind_note_unsigned", "addressee", "client"),
        ("remind_session_tomorrow", "template", "gossip"),
        ("remind_session_tomorrow", "channel", "pigeon"),
        ("remind_session_tomorrow", "lead_days", 8),
        ("remind_recheck_due", "most_repeats", 7),
        ("remind_session_tomorrow", "hour", 24),
        ("remind_session_tomorrow", "quiet_hours", [1, 2, 3]),
        ("remind_session_tomorrow", "quiet_hours", [20]),
        ("remind_session_tomorrow", "template", "form_ends"),
        ("remind_recheck_due", "template", "visit_tomorrow"),
        ("remind_consent_expiring", "template", "visit_due"),
        ("messages", "texts_per_day", 2),
        ("messages", "texts_per_week", 4),
    ],
)
def test_a_setting_that_cannot_be_is_refused(
    built: Built, group: str, key_: str, value: Any
) -> None:
    owner = built.api(Role.OWNER)
    (row,) = [
        one
        for one in ok(owner.get("settings", {"group": group, "page_size": "100"}))["results"]
        if one["key"] == key_
    ]
    sent = {"value": value, "citation": "practice policy"}
    assert owner.change(f"settings/{row['id']}", sent).status_code == 400


def test_what_goes_by_itself_is_not_told_by_a_person(built: Built) -> None:
    client_id = open_client(built)
    row = reminder_of(client_id, uuid4(), "waiting")
    refused(built.api(Role.OWNER).post(f"reminders/{row.pk}/done"), 409, "not_on_the_list")


def test_work_with_a_row_of_the_practice_is_written_with_it(built: Built) -> None:
    licence(built.api(Role.OWNER), built, 100)
    assert ScheduledJob.objects.filter(kind="remind_licence_expiring").count() == 1


def stands(kind: str) -> list[str]:
    return [one.status for one in of_kind(kind)]


def test_a_paper_that_is_answered_is_off_the_list(built: Built) -> None:
    client_id = open_client(built)
    desk = built.api(Role.FRONT_DESK)
    papers = f"clients/{client_id}/papers"
    asked_of = {"name": "Otto Lang", "role": "physician"}
    sent = {"kind": "referral", "asked_of": asked_of, "needed_by": local(10)[:10]}
    paper = ok(desk.post(papers, sent), 201)
    tick(on_day(11))
    tick(on_day(12))
    assert stands("paper_unanswered") == ["listed"]
    ok(desk.post(f"{papers}/{paper['id']}/answer", {"outcome": "given", "answered_by": "O. Lang"}))
    tick(on_day(12, 12))
    assert stands("paper_unanswered") == ["not_wanted"]
    assert job_states("paper_unanswered") == ["done"]


def test_a_licence_that_is_renewed_is_off_the_list(built: Built) -> None:
    owner = built.api(Role.OWNER)
    made = licence(owner, built, 50)
    tick(on_day(1))
    assert stands("licence_expiring") == ["listed"]
    ok(owner.change(made["path"], {"expires_on": local(400)[:10]}))
    tick(on_day(1, 12))
    assert stands("licence_expiring") == ["not_wanted"]


def test_what_is_for_the_staff_stays_on_the_list_past_its_day(built: Built) -> None:
    """Nobody has seen to it: a consent that has ended is still to be signed anew."""
    tell(built, open_client(built), until(100))
    tick(on_day(70))
    tick(on_day(101))
    assert stands("consent_expiring") == ["listed"]


def test_what_a_client_was_to_be_told_is_of_no_use_after_it(built: Built) -> None:
    booked_tomorrow(built, reachable(built, contact_by=ContactBy.PHONE, phone="+12155550100"))
    tick(on_day(4))
    tick(on_day(5, 14))
    assert stands("session_tomorrow") == ["listed"]
    tick(on_day(5, 15))  # It begins.
    assert stands("session_tomorrow") == ["not_wanted"]


def test_what_was_told_stays_told(built: Built) -> None:
    client_id = reachable(built, contact_by=ContactBy.PHONE, phone="+12155550100")
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    (row,) = of_kind("session_tomorrow")
    ok(built.api(Role.OWNER).post(f"reminders/{row.pk}/done"))
    tick(on_day(6))
    assert stands("session_tomorrow") == ["done"]


def test_the_list_names_whom_it_is_about(built: Built) -> None:
    client_id = reachable(built, contact_by=ContactBy.PHONE, phone="+12155550100")
    booked_tomorrow(built, client_id)
    owner = built.api(Role.OWNER)
    licence(owner, built, 50)
    tick(on_day(4))
    (one,) = ok(owner.get("reminders", {"kind": "session_tomorrow"}))["results"]
    assert (one["client_name"], one["practitioner_name"]) == ("Rosa Marsh", "")
    (other,) = ok(owner.get("reminders", {"kind": "licence_expiring"}))["results"]
    assert other["client_name"] == ""
    refused(owner.get("reminders", {"kind": "gossip"}), 400, "invalid")


@pytest.mark.parametrize(
    ("key_", "value", "said"),
    [
        ("channel", "pigeon", "give one of: as_wished, list."),
        ("quiet_hours", [20], "give two hours, from and until, or none."),
    ],
)
def test_a_refused_setting_says_what_it_takes(
    built: Built, key_: str, value: Any, said: str
) -> None:
    owner = built.api(Role.OWNER)
    found = ok(owner.get("settings", {"group": "remind_session_tomorrow"}))["results"]
    (row,) = [one for one in found if one["key"] == key_]
    sent = {"value": value, "citation": "practice policy"}
    answer = refused(owner.change(f"settings/{row['id']}", sent), 400, "invalid")
    assert answer["detail"].endswith(said)
