"""A draft that nobody can sign, discarded by its author; collisions that a save leaves open."""

from __future__ import annotations

import pytest

from clients.record.selectors import client_history
from practice.core.terms import Role
from sessions.calendar.models import Session
from sessions.notes.models import NoteDraft
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import book, key, local, took_place
from tests.sessions.notes.http import Device
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def called_off(built: Built, session_id: str) -> None:
    sent = {"by": "client", "reason": "Has a cold."}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session_id}/cancellation", sent, key=key()))


def test_the_draft_of_a_session_that_was_called_off_is_discarded_by_its_author(
    built: Built,
) -> None:
    phone = Device(built, book(built, open_client(built), local(3))["id"])
    phone.save(plan="Go on twice a week.")
    session_id = phone.path.split("/")[1]
    path, why = f"{phone.path}/draft/discard", {"reason": "Called off."}
    refused(phone.api.post(path, why, match=phone.revision), 409, "draft_open")
    called_off(built, session_id)
    assert len(ok(phone.api.get("notes/unsent"))["results"]) == 1
    refused(phone.api.post(path, why, match=phone.revision + 1), 412, "stale_version")
    shown = ok(phone.api.post(path, why, match=phone.revision))
    assert (shown["state"], shown["draft"]) == ("none", None)
    assert ok(phone.api.get("notes/unsent"))["results"] == []
    assert not NoteDraft.objects.exists()
    refused(phone.api.post(path, why, match=0), 404, "not_found")
    client_id = Session.objects.get(pk=session_id).client_id
    texts = [one["text"] for one in client_history(client_id)["results"]]
    assert "The draft of a session without a note (1 field) was discarded: Called off." in texts
    assert not any("twice a week" in text for text in texts)


def test_nobody_discards_the_draft_of_another(built: Built) -> None:
    phone = Device(built, book(built, open_client(built), local(3))["id"])
    phone.save(plan="Go on twice a week.")
    session_id = phone.path.split("/")[1]
    called_off(built, session_id)
    path, why = f"{phone.path}/draft/discard", {"reason": "Called off."}
    refused(built.api(Role.OWNER).post(path, why, match=1), 403, "forbidden")
    NoteDraft.objects.update(practitioner_id=built.practitioners["massage_therapist"].pk)
    refused(phone.api.post(path, why, match=1), 404, "not_found")
    assert NoteDraft.objects.count() == 1


def test_every_open_collision_is_in_the_answer_not_only_those_of_the_save(
    built: Built,
) -> None:
    phone = Device(built, took_place(built, open_client(built))["id"])
    tablet = Device(built, phone.path.split("/")[1], "tablet")
    phone.save(plan="Friday", subjective="Slept well.")
    refused(tablet.send(plan="Monday"), 412, "colliding_save")
    problem = refused(tablet.send(subjective="Slept badly."), 412, "colliding_save")
    assert problem["collisions"] == [
        {
            "field": "subjective",
            "current": "Slept well.",
            "yours": "Slept badly.",
            "values": ["Slept well.", "Slept badly."],
        },
        {"field": "plan", "current": "Friday", "yours": None, "values": ["Friday", "Monday"]},
    ]
