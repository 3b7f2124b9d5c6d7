"""Drafts from two devices, signatures, addenda and what was outside its permission."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Role
from sessions.calendar.models import Session
from sessions.notes.models import Note, NoteDraft
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import book, key, local, took_place
from tests.sessions.notes.http import MINUTES, TEXTS, Device, line, whole_note
from tests.sessions.people import open_client, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def session(built: Built) -> dict[str, Any]:
    return took_place(built, open_client(built))


def test_a_draft_without_a_version_is_asked_for_one(built: Built, session: Any) -> None:
    api = built.api(Role.PRACTITIONER)
    sent = {"device": "phone", "sequence": 1, "plan": "Friday"}
    refused(api.patch(f"sessions/{session['id']}/note", sent), 428, "version_required")
    assert NoteDraft.objects.count() == 0


def test_a_stale_save_of_other_fields_merges_and_says_what_was_merged(
    built: Built, session: Any
) -> None:
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    mine = line()
    phone.save(subjective="Slept well.", lines=[mine])
    saved = tablet.save(plan="Friday", minutes={"stretching": 40})
    assert saved["revision"] == 2
    assert set(saved["merged"]) == {"subjective", f"line.{mine['line_id']}"}
    assert saved["note"]["subjective"] == "Slept well."
    assert saved["note"]["minutes"] == {"stretching": 40}
    assert [one["line_id"] for one in saved["note"]["lines"]] == [mine["line_id"]]


def test_one_field_from_two_devices_is_412_with_both_values_and_nothing_is_lost(
    built: Built, session: Any
) -> None:
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    phone.save(plan="Friday")
    answer = tablet.send(plan="Monday", subjective="Slept well.")
    problem = refused(answer, 412, "colliding_save")
    both = {"current": "Friday", "yours": "Monday", "values": ["Friday", "Monday"]}
    assert problem["collisions"] == [{"field": "plan", **both}]
    assert answer["ETag"] == f'"{problem["current_version"]}"'
    draft = phone.read()["draft"]
    assert draft["collisions"] == {"plan": ["Friday", "Monday"]}
    assert draft["note"]["subjective"] == "Slept well.", "what does not collide is kept"
    refused(phone.sign(), 409, "unresolved_collisions")
    settled = phone.save(plan="Monday")
    assert settled["note"]["plan"] == "Monday"
    assert phone.read()["draft"]["collisions"] == {}


def test_late_and_doubled_saves_change_nothing(built: Built, session: Any) -> None:
    api, path = built.api(Role.PRACTITIONER), f"sessions/{session['id']}/note"
    newer = {"device": "phone", "sequence": 2, "plan": "Monday"}
    older = {"device": "phone", "sequence": 1, "plan": "Friday"}
    ok(api.patch(path, newer, match=0))
    assert ok(api.patch(path, older, match=0))["overtaken"] == ["plan"]
    assert ok(api.patch(path, newer, match=0))["revision"] == 1
    assert ok(api.get(path))["draft"]["note"]["plan"] == "Monday"


def test_a_revision_that_never_was_is_refused(built: Built, session: Any) -> None:
    api = built.api(Role.PRACTITIONER)
    sent = {"device": "phone", "sequence": 1, "plan": "Friday"}
    problem = refused(
        api.patch(f"sessions/{session['id']}/note", sent, match=9), 412, "unknown_revision"
    )
    assert problem["current_version"] == 0


def test_put_sends_the_whole_note_and_empties_what_it_leaves_out(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    one, two = line(), line()
    phone.save("PUT", subjective="a", plan="b", lines=[one, two])
    saved = phone.save("PUT", subjective="a", lines=[two])
    assert saved["note"]["plan"] == ""
    assert [each["line_id"] for each in saved["note"]["lines"]] == [two["line_id"]]
    assert set(saved["written"]) == {"plan", f"line.{one['line_id']}"}


@pytest.mark.parametrize(
    ("content", "field"),
    [
        ({"minutes": {"stretching": -1}}, "minutes"),
        ({"minutes": {"stretching": 40.5}}, "minutes"),
        ({"minutes": {"juggling": 4}}, "minutes"),
        ({"minutes": 40}, "minutes"),
        ({"lines": [line(technique="pushing")]}, "lines"),
        ({"lines": [line(mode="not_today")]}, "lines"),
        ({"lines": [line(pain_after=11)]}, "lines"),
        ({"lines": [line(line_id="first")]}, "lines"),
        ({"explanations": {"first": "x"}}, "explanations"),
        ({"plan": 3}, "plan"),
        ({"sequence": 0}, "sequence"),
        ({"mood": "good"}, "mood"),
    ],
)
def test_a_save_that_cannot_be_is_refused_with_the_field(
    built: Built, session: Any, content: dict[str, Any], field: str
) -> None:
    answer = Device(built, session["id"]).send(**content)
    assert answer.status_code == 400, answer.content
    assert field in {one["field"].split(".")[0] for one in answer.json()["errors"]}
    assert NoteDraft.objects.count() == 0


def test_the_draft_lies_sealed_and_is_its_authors_alone(built: Built, session: Any) -> None:
    Device(built, session["id"]).save(subjective="Afraid of the scan.")
    paper = NoteDraft.objects.get()
    assert b"scan" not in bytes(paper.sealed)
    assert ok(built.api(Role.OWNER).get(f"sessions/{session['id']}/note"))["draft"] is None
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    other = book(
        built,
        open_client(built),
        local(-1, 14),
        attendance="attended",
        practitioner_id=str(olga.pk),
    )
    refused(Device(built, other["id"]).send(plan="x"), 403, "not_your_session")


def test_a_signed_note_completes_the_session_and_is_signed_once(built: Built, session: Any) -> None:
    phone = Device(built, session["id"])
    phone.save(**whole_note(lines=[line()]))
    answer = phone.sign(again="sign")
    signed = ok(answer, 201)
    assert signed["attended_minutes"] == 60
    assert signed["minutes"] == MINUTES
    assert signed["outside"] == []
    used = {"permissions", "supervision", "rules", "catalogue", "record"}
    assert used == set(signed["evaluated_with"])
    row = Session.objects.get(pk=session["id"])
    assert (row.status, str(row.note_id)) == ("completed", signed["id"])
    assert ok(phone.sign(again="sign"), 201) == signed
    refused(phone.sign(), 409, "already_signed")
    assert Note.objects.count() == 1


def test_a_signature_needs_the_draft_that_was_read(built: Built, session: Any) -> None:
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    refused(phone.sign(), 409, "no_draft")
    phone.save(**whole_note())
    tablet.save(split_reason="The client was tired.")
    problem = refused(phone.sign(), 412, "stale_version")
    assert problem["current_version"] == 2
    api, path = phone.api, f"{phone.path}/signature"
    refused(api.post(path, key=key()), 428, "version_required")
    refused(api.post(path, match=2), 400, "idempotency_key_required")
    phone.read()
    assert ok(phone.sign(), 201)["split_reason"] == "The client was tired."


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"plan": ""}, "incomplete_note", "plan"),
        ({"attended_minutes": 59}, "impossible_minutes", "attended_minutes"),
        ({"minutes": {"stretching": 600}}, "impossible_minutes", "minutes.stretching"),
        ({"minutes": {}, "not_counted_minutes": 0}, "impossible_minutes", "minutes"),
    ],
)
def test_a_note_that_is_not_complete_is_not_signed(
    built: Built, session: Any, changes: dict[str, Any], code: str, field: str
) -> None:
    phone = Device(built, session["id"])
    phone.save(**whole_note(**changes))
    problem = refused(phone.sign(), 400, code)
    assert field in {one["field"] for one in problem["errors"]}
    assert Session.objects.get(pk=session["id"]).status == "arrived"


def test_work_outside_its_permission_is_kept_flagged_and_explained(built: Built) -> None:
    session = took_place(built, open_client(built), hands_on_today="no")
    phone = Device(built, session["id"])
    by_hand, alone = line(), line(mode="self_directed")
    phone.save(**whole_note(lines=[by_hand, alone]))
    problem = refused(phone.sign(), 400, "explanation_needed")
    assert [one["line_id"] for one in problem["lines"]] == [by_hand["line_id"]]
    assert "arrival.no_hands_on" in problem["lines"][0]["reasons"]
    phone.save(explanations={by_hand["line_id"]: "The client changed their mind and asked for it."})
    (outside,) = ok(phone.sign(), 201)["outside"]
    assert (outside["line_id"], outside["allowed"]) == (by_hand["line_id"], "self_directed")
    assert outside["explanation"].startswith("The client changed their mind")
    listed = ok(built.api(Role.OWNER).get("notes/outside-permission"))["results"]
    assert [one["session_id"] for one in listed] == [session["id"]]


def test_lines_after_a_stop_need_an_explanation_and_those_before_do_not(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    before, after = line(minute=12), line(minute=30)
    ok(phone.api.post(f"sessions/{session['id']}/stop", {"minute": 20}))
    phone.save(**whole_note(lines=[before, after]))
    problem = refused(phone.sign(), 400, "explanation_needed")
    assert [one["line_id"] for one in problem["lines"]] == [after["line_id"]]


def test_a_stop_recorded_after_the_signature_marks_the_lines_after_it(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    after = line(minute=30)
    phone.save(**whole_note(lines=[line(minute=12), after]))
    ok(phone.sign(), 201)
    ok(phone.api.post(f"sessions/{session['id']}/stop", {"minute": 20}))
    (outside,) = ok(phone.api.get(phone.path))["signed"]["outside"]
    assert (outside["line_id"], outside["known_later"]) == (after["line_id"], True)
    assert outside["cause"] == "session.stopped"


def test_a_fact_recorded_late_marks_a_note_that_was_within_as_known_then(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    done = line()
    phone.save(**whole_note(lines=[done]))
    assert ok(phone.sign(), 201)["outside"] == []
    gone = ConsentWithdrawn(consent_id=None, reason="Told the desk.")
    client = Session.objects.get(pk=session["id"]).client_id
    tell(built, client, DatedEvent(gone, clock.now() - timedelta(days=3)))
    (outside,) = ok(phone.api.get(phone.path))["signed"]["outside"]
    assert (outside["allowed"], outside["explanation"]) == ("self_directed", "")
    assert (outside["known_later"], outside["cause"]) == (True, "consent.withdrawn")
    listed = ok(built.api(Role.OWNER).get("notes/outside-permission"))["results"]
    assert [one["session_id"] for one in listed] == [session["id"]]


def test_a_fact_that_happened_after_the_session_marks_nothing(built: Built, session: Any) -> None:
    phone = Device(built, session["id"])
    phone.save(**whole_note(lines=[line()]))
    ok(phone.sign(), 201)
    client = Session.objects.get(pk=session["id"]).client_id
    gone = ConsentWithdrawn(consent_id=None, reason="")
    tell(built, client, DatedEvent(gone, clock.now() - timedelta(minutes=5)))
    assert ok(phone.api.get(phone.path))["signed"]["outside"] == []


def test_a_consent_withdrawn_since_does_not_put_yesterdays_work_outside(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    phone.save(**whole_note(lines=[line()]))
    client = Session.objects.get(pk=session["id"]).client_id
    tell(built, client, ConsentWithdrawn(consent_id=None, reason=""))
    assert ok(phone.sign(), 201)["outside"] == []


def test_a_save_after_the_signature_is_kept_as_an_unsent_addendum(
    built: Built, session: Any
) -> None:
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    saved = ok(tablet.send(split_reason="The client was tired."))
    assert saved["state"] == "unsent_addendum"
    found = phone.read()
    assert found["signed"]["split_reason"] == "", "a signed note never changes"
    assert found["draft"]["note"]["split_reason"] == "The client was tired."
    added = ok(phone.api.post(f"{phone.path}/addenda", {"text": "The client was tired."}), 201)
    assert [one["text"] for one in added["addenda"]] == ["The client was tired."]


def test_a_repeat_after_the_signature_is_no_addendum(built: Built, session: Any) -> None:
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    repeated = {"device": "phone", "sequence": 1, **TEXTS}
    late = ok(phone.api.patch(phone.path, repeated, match=0))
    assert (late["state"], phone.read()["draft"]) == ("signed", None)


def test_an_addendum_may_carry_corrected_minutes_and_needs_a_signed_note(
    built: Built, session: Any
) -> None:
    phone = Device(built, session["id"])
    path = f"{phone.path}/addenda"
    phone.save(**whole_note())
    refused(phone.api.post(path, {"text": "Too early."}), 409, "note_not_signed")
    ok(phone.sign(), 201)
    assert phone.api.post(path, {"text": ""}).status_code == 400
    sent = {"text": "Cardio was 15.", "corrected_minutes": {"stretching": 35, "cardio": 15}}
    (addendum,) = ok(phone.api.post(path, sent), 201)["addenda"]
    assert addendum["corrected_minutes"] == {"stretching": 35, "cardio": 15}
    assert ok(phone.api.get(phone.path))["signed"]["minutes"] == MINUTES


def test_an_unknown_session_has_no_note(built: Built) -> None:
    refused(built.api(Role.PRACTITIONER).get(f"sessions/{uuid4()}/note"), 404, "not_found")


def test_saves_after_the_signature_build_on_each_other(built: Built, session: Any) -> None:
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    ok(tablet.send(split_reason="The client was tired."))
    ok(phone.send(lines=[line(minute=55)]))
    note = phone.read()["draft"]["note"]
    assert note["split_reason"] == "The client was tired."
    assert [one["minute"] for one in note["lines"]] == [55]


def test_only_the_practitioner_of_the_session_signs_and_adds(built: Built) -> None:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    mine = book(
        built, open_client(built), local(-1), attendance="attended", practitioner_id=str(olga.pk)
    )
    paula = Device(built, mine["id"])
    refused(paula.sign(), 403, "not_your_session")
    refused(paula.api.post(f"{paula.path}/addenda", {"text": "x"}), 403, "not_your_session")


def test_a_draft_that_is_sent_back_as_it_was_read_says_no_more_than_it_did(built: Built) -> None:
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(subjective="Slept well.", lines=[line()])
    note = phone.read()["draft"]["note"]
    sent = {name: one for name, one in note.items() if one is not None}
    before = phone.revision
    again = phone.save("PUT", **sent)
    assert (again["revision"], again["written"], again["note"]) == (before, [], note)
    ten = phone.save(not_counted_minutes=10)["note"]["not_counted_minutes"]
    assert (ten, phone.save(not_counted_minutes=0)["note"]["not_counted_minutes"]) == (10, 0)
