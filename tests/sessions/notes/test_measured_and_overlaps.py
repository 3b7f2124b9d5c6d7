"""What a note shows beside its words: what was measured in it, and what is warned of before it is
signed; a note entered in error that is written again where it belongs."""

from __future__ import annotations

from typing import Any

import pytest

from clients.record.selectors import client_history
from sessions.notes.models import Note
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, key, local, took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_what_was_measured_in_the_session_is_in_its_note(built: Built) -> None:
    client_id = open_client(built)
    session, other = took_place(built, client_id), book(built, client_id, local(3))
    phone = Device(built, session["id"])
    api = phone.api
    path = f"clients/{client_id}/range-of-motion"
    for where, degrees in ((session["id"], 124), (other["id"], 90), (None, 80)):
        sent = reading(degrees, movement="shoulder_flexion", session_id=where)
        ok(api.post(path, {name: one for name, one in sent.items() if one is not None}), 201)
    both = {"interval_cm": 4, "left": [16.5, 18, 21], "right": [16, 18.5, 21]}
    path = f"clients/{client_id}/circumferences"
    ok(api.post(path, {**both, "session_id": session["id"]}), 201)
    found = phone.read()["measured"]
    assert [one["degrees"] for one in found["readings"]] == [124]
    assert [one["left"] for one in found["circumferences"]] == [[16.5, 18, 21]]
    reading_id = found["readings"][0]["id"]
    error = f"clients/{client_id}/range-of-motion/{reading_id}/entered-in-error"
    ok(api.post(error, {"reason": "The other arm."}))
    assert phone.read()["measured"]["readings"] == []


def test_time_shared_with_another_session_is_told_at_the_save(built: Built) -> None:
    """Ruling 57: before the signature, not only with it."""
    late: dict[str, Any] = {"attendance": "attended", "answers": WELL}
    one = book(built, open_client(built), local(-1), **late)
    book(built, open_client(built), local(-1, 10, 30), **late)
    phone = Device(built, one["id"])
    codes = {found["code"] for found in phone.save(plan="x")["findings"]}
    assert "overlaps_practitioner" not in codes, "before any minutes there is no time to share"
    saved = phone.save(**whole_note())
    told = [found for found in saved["findings"] if found["code"] == "overlaps_practitioner"]
    assert [found["field"] for found in told] == ["minutes"]
    assert ok(phone.sign(), 201)["warnings"][0]["code"] == "overlaps_practitioner"
    assert phone.save(split_reason="x")["findings"] == []


def in_error(built: Built, phone: Device) -> str:
    """A signed note whose session is entered in error; its id."""
    phone.save(**whole_note())
    signed = ok(phone.sign(), 201)
    path = f"sessions/{phone.path.split('/')[1]}/entry-in-error"
    ok(phone.api.post(path, {"reason": "It was another client."}, key=key()))
    return str(signed["id"])


def sign(phone: Device, re_enters: str) -> Any:
    sent = {"re_enters": re_enters}
    return phone.api.post(f"{phone.path}/signature", sent, match=phone.revision, key=key())


def test_a_note_in_error_is_entered_again_where_it_belongs_and_both_are_linked(
    built: Built,
) -> None:
    wrong = Device(built, took_place(built, open_client(built))["id"])
    note_id = in_error(built, wrong)
    client_id = open_client(built)
    right = Device(built, took_place(built, client_id)["id"])
    right.save(**whole_note())
    signed = ok(sign(right, note_id), 201)
    assert (signed["re_enters"], signed["re_entered_as"]) == (note_id, None)
    assert wrong.read()["signed"]["re_entered_as"] == signed["id"]
    texts = [one["text"] for one in client_history(client_id)["results"]]
    assert any("in place of one entered in error" in text for text in texts)
    again = Device(
        built, book(built, open_client(built), local(-2), attendance="attended", answers=WELL)["id"]
    )
    again.save(**whole_note())
    told = refused(sign(again, note_id), 400, "invalid")
    assert told["errors"][0]["field"] == "re_enters"
    assert Note.objects.filter(re_enters=note_id).count() == 1


def test_only_an_own_note_that_is_in_error_is_entered_again(built: Built) -> None:
    standing = Device(built, took_place(built, open_client(built))["id"])
    standing.save(**whole_note())
    stands = ok(standing.sign(), 201)["id"]
    right = Device(
        built, book(built, open_client(built), local(-2), attendance="attended", answers=WELL)["id"]
    )
    right.save(**whole_note())
    refused(sign(right, stands), 400, "invalid")
    assert Note.objects.count() == 1
