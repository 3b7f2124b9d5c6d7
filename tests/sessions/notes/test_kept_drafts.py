"""Whoever changes a session is told of the draft of its note: whose, and at which revision."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, local, took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def session(built: Built) -> dict[str, Any]:
    """Attended yesterday, with a draft at revision 2."""
    made = took_place(built, open_client(built))
    written(built, made)
    return made


def written(built: Built, session: dict[str, Any]) -> Device:
    device = Device(built, session["id"])
    device.save(plan="Friday")
    device.save(subjective="Slept well.")
    return device


def told(answer: Any) -> dict[str, str]:
    """The warnings about drafts, by code."""
    rows = ok(answer)["warnings"]
    return {one["code"]: one["text"] for one in rows if one["code"].startswith("draft")}


@pytest.mark.parametrize(
    ("path", "sent", "status"),
    [
        ("entry-in-error", {"reason": "The wrong client."}, "entered in error"),
        ("correction", {"status": "no_show", "reason": "Ticked on the wrong row."}, "a no-show"),
        (
            "correction",
            {
                "status": "cancelled",
                "reason": "It was called off.",
                "by": "client",
                "cause": "Has a cold.",
                "told_at": (clock.now() - timedelta(days=2)).isoformat(),
            },
            "called off",
        ),
    ],
)
def test_a_draft_that_cannot_be_signed_any_more_is_named_with_author_and_revision(
    built: Built, session: dict[str, Any], path: str, sent: dict[str, Any], status: str
) -> None:
    desk = built.api(Role.FRONT_DESK)
    warning = told(desk.post(f"sessions/{session['id']}/{path}", sent))
    assert set(warning) == {"draft_not_signable"}
    assert "by Paula (revision 2)" in warning["draft_not_signable"]
    assert f"the session is {status}" in warning["draft_not_signable"]
    kept = Device(built, session["id"]).read()
    assert kept["draft"]["note"]["plan"] == "Friday"


def test_a_draft_of_a_session_that_is_booked_again_stays_open(built: Built) -> None:
    start = (clock.now() + timedelta(minutes=5)).isoformat()
    session = book(built, open_client(built), start)
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}"
    ok(desk.post(f"{path}/arrival", WELL))
    written(built, session)
    sent = {"status": "booked", "reason": "Ticked on the wrong row."}
    warning = told(desk.post(f"{path}/correction", sent))
    assert set(warning) == {"draft_open"}
    assert "by Paula (revision 2)" in warning["draft_open"]


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("cancellation", {"by": "client", "reason": "Has a cold."}),
        ("entry-in-error", {"reason": "The wrong client."}),
    ],
)
def test_a_draft_begun_before_the_session_is_named_too(
    built: Built, path: str, sent: dict[str, Any]
) -> None:
    session = book(built, open_client(built), local(3))
    written(built, session)
    answer = built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/{path}", sent)
    assert set(told(answer)) == {"draft_not_signable"}


def test_a_draft_of_a_no_show_is_named(built: Built) -> None:
    session = book(built, open_client(built), (clock.now() + timedelta(minutes=5)).isoformat())
    written(built, session)
    with clock.at(clock.now() + timedelta(minutes=30)):
        answer = built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/no-show", {})
        assert set(told(answer)) == {"draft_not_signable"}


def test_a_session_moved_to_another_practitioner_names_whose_draft_goes_with_it(
    built: Built,
) -> None:
    session = book(built, open_client(built), local(3))
    written(built, session)
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    path, desk = f"sessions/{session['id']}/move", built.api(Role.FRONT_DESK)
    warning = told(desk.post(path, {"practitioner_id": str(olga.pk), "reason": "Paula is ill."}))
    assert set(warning) == {"draft_of_another"}
    assert "by Paula" in warning["draft_of_another"]


def test_without_a_draft_or_after_its_signature_nothing_is_said(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    plain = took_place(built, open_client(built))
    sent = {"reason": "The wrong client."}
    assert told(desk.post(f"sessions/{plain['id']}/entry-in-error", sent)) == {}
    signed = took_place(built, open_client(built))
    device = Device(built, signed["id"])
    device.save(**whole_note())
    ok(device.sign(), 201)
    own = built.api(Role.PRACTITIONER)
    assert told(own.post(f"sessions/{signed['id']}/entry-in-error", sent)) == {}


def test_words_that_came_in_after_the_signature_are_named(built: Built) -> None:
    session = took_place(built, open_client(built))
    device = Device(built, session["id"])
    device.save(**whole_note())
    ok(device.sign(), 201)
    device.save(plan="Another day.")
    own = built.api(Role.PRACTITIONER)
    sent = {"reason": "The wrong client."}
    warning = told(own.post(f"sessions/{session['id']}/entry-in-error", sent))
    assert "Words that came in after the signature" in warning["draft_not_signable"]


def test_a_move_with_nothing_but_a_reason_says_what_to_send(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    path, desk = f"sessions/{session['id']}/move", built.api(Role.FRONT_DESK)
    problem = refused(desk.post(path, {"reason": "The client asked."}), 409, "nothing_to_move")
    for field in ("starts_at", "practitioner_id", "facility_id", "room_id", "requested_mode"):
        assert field in problem["detail"]
    there = {"reason": "The client asked.", "starts_at": local(3)}
    refused(desk.post(path, there), 409, "nothing_to_move")
    ok(desk.post(path, {**there, "starts_at": local(3, 11)}))
