"""Lists of notes: what is not signed, words that wait, own notes by a text."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Role
from sessions.notes.models import Note
from tests.builders import Api, Built, account, build_practice, ok, refused, token_for
from tests.sessions.booking.http import WELL, book, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def other_practitioner(built: Built) -> Api:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    return Api(token_for(account("olga", Role.PRACTITIONER, built.east, of=olga)))


def of_olga(built: Built) -> dict[str, Any]:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    return book(
        built, open_client(built), local(-1), attendance="attended", practitioner_id=str(olga.pk)
    )


def rows(api: Api, path: str, **query: Any) -> list[Any]:
    found: list[Any] = ok(api.get(path, query))["results"]
    return found


def test_unsigned_notes_are_listed_with_age_and_draft_until_they_are_signed(built: Built) -> None:
    session = took_place(built, open_client(built))
    paula = built.api(Role.PRACTITIONER)
    (row,) = rows(paula, "notes/unsigned")
    assert (row["session_id"], row["draft_revision"]) == (session["id"], None)
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    (row,) = rows(paula, "notes/unsigned")
    assert row["draft_revision"] == 1
    assert "subjective" not in row
    ok(phone.sign(), 201)
    assert rows(paula, "notes/unsigned") == []


@pytest.mark.parametrize(
    ("hours", "overdue"), [(timedelta(hours=48) - timedelta(minutes=1), False), (48, True)]
)
def test_after_48_hours_a_note_is_overdue_for_author_and_owner(
    built: Built, hours: Any, overdue: bool
) -> None:
    took_place(built, open_client(built))
    (row,) = rows(built.api(Role.OWNER), "notes/unsigned")
    span = hours if isinstance(hours, timedelta) else timedelta(hours=hours)
    ended = datetime.fromisoformat(row["ends_at"])
    with clock.at(ended + span):
        for role in (Role.OWNER, Role.PRACTITIONER):
            api = built.api(role)
            (row,) = rows(api, "notes/unsigned", overdue=str(overdue).lower())
            assert (row["overdue"], row["age_hours"]) == (overdue, 48 if overdue else 47)
            assert rows(api, "notes/unsigned", overdue=str(not overdue).lower()) == []


def test_a_practitioner_reads_their_own_and_the_owner_all(built: Built) -> None:
    mine, theirs = took_place(built, open_client(built)), of_olga(built)
    assert {one["session_id"] for one in rows(built.api(Role.PRACTITIONER), "notes/unsigned")} == {
        mine["id"]
    }
    assert len(rows(built.api(Role.OWNER), "notes/unsigned")) == 2
    only = rows(built.api(Role.OWNER), "notes/unsigned", practitioner_id=theirs["practitioner_id"])
    assert [one["session_id"] for one in only] == [theirs["id"]]


def test_a_session_to_come_and_one_nobody_came_to_are_not_unsigned(built: Built) -> None:
    book(built, open_client(built), local(3))
    soon = (clock.now() + timedelta(minutes=5)).isoformat()
    running = book(built, open_client(built), soon)
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{running['id']}/arrival", WELL))
    assert rows(built.api(Role.OWNER), "notes/unsigned") == []


def test_words_that_wait_are_listed_for_author_and_owner_without_a_word(built: Built) -> None:
    session = took_place(built, open_client(built))
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    assert rows(built.api(Role.OWNER), "notes/unsent") == [], "a draft that can be signed"
    ok(phone.sign(), 201)
    phone.save(plan="Another day.")
    for role in (Role.OWNER, Role.PRACTITIONER):
        (row,) = rows(built.api(role), "notes/unsent")
        assert (row["session_id"], row["practitioner_name"]) == (session["id"], "Paula")
        assert row["left_to"] == ""
        assert "Another day." not in str(row)
    assert rows(other_practitioner(built), "notes/unsent") == []


def test_words_left_by_a_move_or_a_cancellation_wait(built: Built) -> None:
    moved, off = (book(built, open_client(built), local(day)) for day in (3, 4))
    for session in (moved, off):
        Device(built, session["id"]).save(plan="Friday")
    desk, olga = built.api(Role.FRONT_DESK), Credential.OCCUPATIONAL_THERAPIST
    sent = {"practitioner_id": str(built.practitioners[olga].pk), "reason": "Paula is ill."}
    ok(desk.post(f"sessions/{moved['id']}/move", sent))
    ok(desk.post(f"sessions/{off['id']}/cancellation", {"by": "client", "reason": "A cold."}))
    found = {one["session_id"]: one for one in rows(built.api(Role.PRACTITIONER), "notes/unsent")}
    assert found[moved["id"]]["left_to"] == "Olga"
    assert found[off["id"]]["session_status"] == "cancelled"
    assert len(found) == 2


@pytest.fixture
def signed(built: Built) -> Device:
    """Yesterday's note, with an addendum."""
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note(plan="Twice a week, with the green band."))
    ok(phone.sign(), 201)
    ok(phone.api.post(f"{phone.path}/addenda", {"text": "Café après, the arm felt light."}), 201)
    return phone


def test_words_of_lines_and_addenda_are_found_and_shown(built: Built, signed: Device) -> None:
    session = took_place(built, open_client(built))
    phone = Device(built, session["id"])
    row = {"line_id": str(uuid4()), "exercise": "row with the belt", "sets": 1, "repetitions": 8}
    phone.save(**whole_note(lines=[line(response="Easier at the top.")], strength=[row]))
    ok(phone.sign(), 201)
    phone.save(objective="The elbow stays straight.")
    ok(phone.api.post(f"{phone.path}/addenda", {"send_unsent": phone.revision}), 201)
    paula = built.api(Role.PRACTITIONER)
    for text in ("easier at", "the BELT", "stays straight"):
        (one,) = ok(paula.post("notes/search", {"text": text}))["results"]
        assert one["session_id"] == session["id"]
        assert any(text.casefold() in words.casefold() for words in one["other_words"])
    (other,) = ok(paula.post("notes/search", {"text": "felt light"}))["results"]
    assert other["other_words"] == ["Café après, the arm felt light."]


@pytest.mark.parametrize(
    ("text", "found"),
    [("GREEN band", 1), ("red band", 0), ("felt light", 1), ("Café", 1), ("100%", 0), ("%ree%", 0)],
)
def test_own_notes_are_found_by_their_words(
    built: Built, signed: Device, text: str, found: int
) -> None:
    answer = ok(built.api(Role.PRACTITIONER).post("notes/search", {"text": text}))
    assert len(answer["results"]) == found


def test_a_search_is_of_own_notes_that_stand_within_its_days(built: Built, signed: Device) -> None:
    paula, sent = built.api(Role.PRACTITIONER), {"text": "green band"}
    note = Note.objects.get()
    day = note.local_date
    assert ok(other_practitioner(built).post("notes/search", sent))["results"] == []
    for more, count in (
        ({"from": str(day), "to": str(day)}, 1),
        ({"to": str(day - timedelta(days=1))}, 0),
        ({"from": str(day - timedelta(days=1096)), "to": str(day)}, 1),
        ({"client_id": str(note.client_id)}, 1),
        ({"client_id": str(open_client(built))}, 0),
    ):
        answer = ok(paula.post("notes/search", {**sent, **more}))
        assert len(answer["results"]) == count, more
    too_long = {"from": str(day - timedelta(days=1097)), "to": str(day)}
    for wrong in (too_long, {"from": str(day + timedelta(days=1)), "to": str(day)}):
        refused(paula.post("notes/search", {**sent, **wrong}), 400, "invalid")
    in_error = f"sessions/{signed.path.split('/')[1]}/entry-in-error"
    ok(paula.post(in_error, {"reason": "The wrong client."}))
    assert ok(paula.post("notes/search", sent))["results"] == []


def test_what_was_searched_is_logged_sealed(built: Built, signed: Device) -> None:
    ok(built.api(Role.PRACTITIONER).post("notes/search", {"text": "green band"}))
    entry = AccessEntry.objects.get(what="search of notes")
    assert entry.client_id == Note.objects.get().client_id
    assert b"green" not in bytes(entry.asked or b"")
