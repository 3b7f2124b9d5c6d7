"""Ruling 50: a signed note whose session was entered in error, over HTTP."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Role
from sessions.notes.models import Note
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client, tell

pytestmark = pytest.mark.django_db
WHY = {"reason": "It was another client."}


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def signed(built: Built) -> Device:
    """A signed note with a line outside its permission, explained."""
    phone = Device(built, took_place(built, open_client(built), hands_on_today="no")["id"])
    by_hand = line()
    phone.save(**whole_note(lines=[by_hand], explanations={by_hand["line_id"]: "Asked for it."}))
    ok(phone.sign(), 201)
    return phone


def in_error(phone: Device) -> Any:
    path = f"sessions/{phone.path.split('/')[1]}/entry-in-error"
    return ok(phone.api.post(path, WHY, key=key()))


def outside(built: Built) -> list[Any]:
    rows: list[Any] = ok(built.api(Role.OWNER).get("notes/outside-permission"))["results"]
    return rows


def test_it_leaves_the_list_and_its_own_address_says_why(built: Built, signed: Device) -> None:
    assert len(outside(built)) == 1
    in_error(signed)
    assert outside(built) == []
    assert signed.read()["signed"]["entered_in_error"] == WHY["reason"]
    texts = [one["text"] for one in client_history(Note.objects.get().client_id)["results"]]
    assert any(text.startswith("A signed note was entered in error") for text in texts)
    assert compare().differences == []


def test_the_record_shows_it_as_known_before_and_not_since(built: Built, signed: Device) -> None:
    before = clock.now().isoformat()
    clients = f"clients/{Note.objects.get().client_id}/record"
    owner = built.api(Role.OWNER)
    in_error(signed)
    session_id = signed.path.split("/")[1]
    assert session_id in ok(owner.get(clients, {"known_at": before}))["more"]["notes"]
    now = ok(owner.get(clients, {"known_at": clock.now().isoformat()}))
    assert now["more"]["notes"] == {}


def test_nothing_is_added_to_it_and_unsent_words_can_still_be_discarded(
    built: Built, signed: Device
) -> None:
    saved = Device(built, signed.path.split("/")[1], "tablet").save(split_reason="Tired.")
    in_error(signed)
    addenda = f"{signed.path}/addenda"
    for sent in ({"text": "Left arm."}, {"send_unsent": saved["revision"]}):
        refused(signed.api.post(addenda, sent), 409, "note_entered_in_error")
    path = f"{signed.path}/unsent/discard"
    shown = ok(signed.api.post(path, {"reason": "Not theirs."}, match=saved["revision"]))
    assert shown["draft"] is None


@pytest.mark.parametrize("taken_back", [True, False])
def test_a_fact_reported_later_marks_only_a_note_that_stands(
    built: Built, taken_back: bool
) -> None:
    client_id = open_client(built)
    phone = Device(built, took_place(built, client_id)["id"])
    phone.save(**whole_note(lines=[line()]))
    ok(phone.sign(), 201)
    if taken_back:
        in_error(phone)
    gone = ConsentWithdrawn(consent_id=None, reason="Told the desk.")
    tell(built, client_id, DatedEvent(gone, clock.now() - timedelta(days=3)))
    assert Note.objects.get().is_outside is not taken_back


def test_a_session_without_a_signed_note_takes_none_back(built: Built) -> None:
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note())
    in_error(phone)
    assert phone.read()["signed"] is None
    assert compare().differences == []
