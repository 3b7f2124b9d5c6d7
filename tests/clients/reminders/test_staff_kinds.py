"""What the staff is reminded of: once, decided again at its time, seen by whom it is for."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from msgspec import structs

from clients.consent.domain.events import ConsentRecorded, ConsentWithdrawn
from clients.consent.reminders import CONSENT_EXPIRING
from clients.reminders.domain.kinds import Question, Wanted
from clients.reminders.domain.rules import ClientRule
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from practice.policy.selectors import settings_group
from tests.builders import Api, Built, ok, refused
from tests.clients.reminders.given import of_kind, on_day, rule, tick
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
    return CONSENT_EXPIRING.decide(
        Question(client_id=client_id, about=about, occasion="", rule=remind, now=now)
    )


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
