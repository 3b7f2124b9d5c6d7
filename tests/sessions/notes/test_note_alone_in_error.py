"""A note written for another client or session: entered in error, while its session stands."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from sessions.calendar.models import Session
from sessions.notes.domain.jobs import NOTE_REMINDER
from sessions.notes.models import Note, NoteDraft
from tests.builders import Api, Built, account, build_practice, ok, refused, token_for
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import reading

pytestmark = pytest.mark.django_db
WHY = {"reason": "Written for another client."}
OTHER_REASON = {"reason": "It was Tuesday's."}


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def phone(built: Built) -> Device:
    """The device on which a note was signed."""
    found = Device(built, took_place(built, open_client(built))["id"])
    found.save(**whole_note(lines=[line()]))
    ok(found.sign(), 201)
    return found


def path_of(phone: Device) -> str:
    return f"{phone.path}/entered-in-error"


def in_error(phone: Device, role: Any = None, **more: Any) -> dict[str, Any]:
    api = phone.api if role is None else role
    found: dict[str, Any] = ok(api.post(path_of(phone), {**WHY, **more}, key=key()))
    return found


def test_the_session_stands_and_has_no_note_again(built: Built, phone: Device) -> None:
    note = Note.objects.get()
    done = in_error(phone)
    assert (done["note_id"], done["session_status"]) == (str(note.pk), "arrived")
    found = phone.read()
    assert (found["state"], found["signed"], found["draft"]["note"]["plan"]) == ("draft", None, "")
    assert found["draft"]["note"]["lines"] == []
    unsigned = ok(phone.api.get("notes/unsigned"))["results"]
    assert [one["session_id"] for one in unsigned] == [str(note.session_id)]
    row = Session.objects.get(pk=note.session_id)
    assert (row.note_id, row.arrived_at is None) == (None, False)
    assert compare().differences == []


def test_it_leaves_what_is_read_of_notes_and_stays_in_the_history(
    built: Built, phone: Device
) -> None:
    search = {"text": "Arm rises"}
    assert len(ok(phone.api.post("notes/search", search))["results"]) == 1
    in_error(phone)
    assert ok(phone.api.post("notes/search", search))["results"] == []
    (gone,) = phone.read()["in_error"]
    assert (gone["reason"], gone["re_entered_as"]) == (WHY["reason"], None)
    (kept,) = ok(phone.api.get(path_of(phone)))["results"]
    assert (kept["objective"], kept["entered_in_error"]) == (
        "Arm rises further than last week.",
        WHY["reason"],
    )
    assert kept["entered_in_error_by"] == gone["by"]
    texts = [one["text"] for one in client_history(Note.objects.get().client_id)["results"]]
    assert f"A signed note was entered in error; its session stands: {WHY['reason']}" in texts


def test_the_record_shows_it_as_known_before_and_not_since(built: Built, phone: Device) -> None:
    note, before = Note.objects.get(), clock.now().isoformat()
    in_error(phone)
    record, owner = f"clients/{note.client_id}/record", built.api(Role.OWNER)
    then = ok(owner.get(record, {"known_at": before}))["more"]["notes"]
    now = ok(owner.get(record, {"known_at": clock.now().isoformat()}))["more"]["notes"]
    assert ([str(note.session_id)], {}) == ([*then], now)


def test_another_note_is_written_and_signed_in_its_place(built: Built, phone: Device) -> None:
    first = Note.objects.get()
    in_error(phone)
    phone.read()
    phone.save(**whole_note(plan="Once a week."))
    second = ok(phone.sign(), 201)
    assert second["id"] != str(first.pk)
    assert phone.read()["signed"]["plan"] == "Once a week."
    ok(phone.api.post(f"{phone.path}/addenda", {"text": "Left arm."}), 201)
    assert ok(phone.api.get("notes/unsigned"))["results"] == []
    done = in_error(phone)
    assert done["note_id"] == second["id"]
    assert len(phone.read()["in_error"]) == 2
    assert compare().differences == []


def test_its_words_are_signed_where_they_belong_linked_both_ways(
    built: Built, phone: Device
) -> None:
    wrong = Note.objects.get()
    in_error(phone)
    right = Device(built, took_place(built, open_client(built))["id"])
    right.save(**whole_note())
    sign = f"{right.path}/signature"
    sent = {"re_enters": str(wrong.pk)}
    made = ok(right.api.post(sign, sent, match=right.revision, key=key()), 201)
    assert made["re_enters"] == str(wrong.pk)
    assert phone.read()["in_error"][0]["re_entered_as"] == made["id"]
    in_error(right)
    assert phone.read()["in_error"][0]["re_entered_as"] is None
    right.read()
    right.save(**whole_note())
    again = ok(right.api.post(sign, sent, match=right.revision, key=key()), 201)
    assert phone.read()["in_error"][0]["re_entered_as"] == again["id"]


def test_a_second_reason_is_answered_with_the_one_that_stands(built: Built, phone: Device) -> None:
    in_error(phone)
    for reason in (OTHER_REASON, WHY):
        problem = refused(
            phone.api.post(path_of(phone), reason, key=key()), 409, "nothing_to_correct"
        )
        assert problem["entered_in_error"] == WHY["reason"]
        assert WHY["reason"] in problem["detail"]
    assert Note.objects.get().entered_in_error == WHY["reason"]


def test_by_its_author_or_the_owner_and_nobody_else(built: Built, phone: Device) -> None:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    colleague = Api(token_for(account("olga", Role.PRACTITIONER, built.east, of=olga)))
    refused(colleague.post(path_of(phone), WHY, key=key()), 403, "not_your_note")
    refused(built.api(Role.FRONT_DESK).post(path_of(phone), WHY, key=key()), 403, "forbidden")
    done = in_error(phone, built.api(Role.OWNER))
    assert done["draft"] is None, "the draft is its author's"
    assert phone.read()["draft"] is not None


def test_one_that_was_read_before_an_addendum_came_is_not_entered(
    built: Built, phone: Device
) -> None:
    version = phone.read()["signed"]["version"]
    ok(phone.api.post(f"{phone.path}/addenda", {"text": "Left arm."}), 201)
    refused(phone.api.post(path_of(phone), WHY, match=version, key=key()), 412, "stale_version")
    now = phone.read()["signed"]["version"]
    ok(phone.api.post(path_of(phone), WHY, match=now, key=key()))


def test_where_nothing_was_signed_there_is_nothing_in_error(built: Built) -> None:
    device = Device(built, took_place(built, open_client(built))["id"])
    device.save(**whole_note())
    refused(device.api.post(path_of(device), WHY, key=key()), 404, "not_found")
    assert ok(device.api.get(path_of(device)))["results"] == []


def test_words_that_came_after_the_signature_stand_in_the_draft(
    built: Built, phone: Device
) -> None:
    phone.save(split_reason="Tired.")
    done = in_error(phone)
    assert [one["code"] for one in done["warnings"]] == ["unsent_words"]
    found = phone.read()["draft"]
    assert (found["state"], found["note"]["split_reason"], found["note"]["plan"]) == (
        "draft",
        "Tired.",
        "",
    )
    assert ok(phone.api.get("notes/unsent"))["results"] == []


def test_a_save_of_before_that_comes_once_more_brings_nothing_back(
    built: Built, phone: Device
) -> None:
    again = {"device": "phone", "sequence": 9, **whole_note()}
    ok(phone.api.send("PATCH", phone.path, again, match=0))
    in_error(phone)
    ok(phone.api.send("PATCH", phone.path, again, match=0))
    assert phone.read()["draft"]["note"]["plan"] == ""


def test_what_another_device_still_had_stands_beside_the_emptied_field(
    built: Built, phone: Device
) -> None:
    in_error(phone)
    late = Device(built, phone.path.split("/")[1], "tablet")
    refused(late.send(plan="For somebody else."), 412, "colliding_save")
    assert phone.read()["draft"]["collisions"]["plan"] == [None, "For somebody else."]


@pytest.mark.parametrize("with_readings", [True, False])
def test_what_was_measured_stands_unless_it_is_said_to_be_in_error_too(
    built: Built, phone: Device, with_readings: bool
) -> None:
    note = Note.objects.get()
    sent = {**reading(124, movement="shoulder_flexion"), "session_id": str(note.session_id)}
    path = f"clients/{note.client_id}/range-of-motion"
    taken = ok(phone.api.post(path, sent), 201)["reading"]["id"]
    done = in_error(phone, with_readings=with_readings)
    stands = [] if with_readings else [taken]
    assert [one["id"] for one in done["measured"]["readings"]] == stands
    codes = [one["code"] for one in done["warnings"]]
    assert codes == ([] if with_readings else ["measured_stands"])
    assert compare().differences == []


def test_its_practitioner_is_reminded_again(built: Built, phone: Device) -> None:
    jobs = ScheduledJob.objects.filter(kind=NOTE_REMINDER)
    before = jobs.count()
    in_error(phone)
    assert jobs.count() == before + 1


def test_the_draft_has_one_row_with_the_id_of_the_next_note(built: Built, phone: Device) -> None:
    in_error(phone)
    paper = NoteDraft.objects.get()
    phone.read()
    phone.save(**whole_note())
    assert ok(phone.sign(), 201)["id"] == str(paper.pk)
    assert paper.updated_at <= clock.now() + timedelta(seconds=1)
