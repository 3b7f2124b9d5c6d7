"""After the signature: words saved late, corrections, the clock, over HTTP."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Practitioner
from sessions.calendar.models import Session
from sessions.notes.models import Note, NoteDraft
from tests.builders import Built, build_practice, ok, practitioner, refused
from tests.sessions.booking.http import WELL, book, key, local, took_place
from tests.sessions.notes.http import MINUTES, Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def signed(built: Built) -> Device:
    """A signed note of yesterday."""
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    return phone


def test_a_number_used_again_is_a_new_save_or_a_collision_and_never_silence(built: Built) -> None:
    """Ruling 1."""
    session = took_place(built, open_client(built))
    api, path = built.api(Role.PRACTITIONER), f"sessions/{session['id']}/note"
    first = {"device": "phone", "sequence": 1, "plan": "Friday"}
    ok(api.patch(path, first, match=0))
    again = ok(api.patch(path, {**first, "plan": "Monday"}, match=1))
    assert (again["revision"], again["written"]) == (2, ["plan"])
    assert again["note"]["plan"] == "Monday"
    told = refused(api.patch(path, {**first, "plan": "Sunday"}, match=1), 412, "colliding_save")
    both = {"current": "Monday", "yours": "Sunday", "values": ["Monday", "Sunday"]}
    assert told["collisions"] == [{"field": "plan", **both}]
    assert ok(api.get(path))["draft"]["collisions"] == {"plan": ["Monday", "Sunday"]}


def test_an_overtaken_save_stays_overtaken_after_a_save_of_the_same_words(built: Built) -> None:
    session = took_place(built, open_client(built))
    api, path = built.api(Role.PRACTITIONER), f"sessions/{session['id']}/note"
    for sequence, word in ((1, "Friday"), (3, "Friday")):
        ok(api.patch(path, {"device": "phone", "sequence": sequence, "plan": word}, match=0))
    late = ok(api.patch(path, {"device": "phone", "sequence": 2, "plan": "Monday"}, match=0))
    assert (late["overtaken"], late["note"]["plan"]) == (["plan"], "Friday")


def test_words_saved_after_the_signature_outlive_an_addendum_and_are_sent_by_name(
    built: Built, signed: Device
) -> None:
    """Ruling 1: the next addendum destroyed them."""
    tablet = Device(built, signed.path.split("/")[1], "tablet")
    late = line(minute=50, mode="self_directed")
    saved = tablet.save(split_reason="Tired.", lines=[late])
    added = ok(signed.api.post(f"{signed.path}/addenda", {"text": "Left arm."}), 201)
    assert [one["code"] for one in added["warnings"]] == ["unsent_words"]
    draft = signed.read()["draft"]
    assert draft["note"]["split_reason"] == "Tired."
    sending = {"send_unsent": saved["revision"] + 1}
    refused(signed.api.post(f"{signed.path}/addenda", sending), 412, "stale_version")
    sending = {"send_unsent": saved["revision"]}
    added = ok(signed.api.post(f"{signed.path}/addenda", sending), 201)
    assert added["warnings"] == []
    assert added["addenda"][-1]["late"]["texts"] == {"split_reason": "Tired."}
    (shown,) = added["addenda"][-1]["late"]["lines"]
    assert shown["line_id"] == late["line_id"]
    found = signed.read()
    assert (found["draft"], found["signed"]["split_reason"]) == (None, "")
    refused(signed.api.post(f"{signed.path}/addenda", sending), 404, "not_found")
    repeat = {"device": "tablet", "sequence": 1, "split_reason": "Tired.", "lines": [late]}
    ok(signed.api.patch(signed.path, repeat, match=0))
    assert signed.read()["draft"] is None, "a repeat of what was sent is no new word"
    differences = compare().differences
    assert differences == []


def test_unsent_words_are_discarded_by_their_author_alone_and_the_history_says_so(
    built: Built, signed: Device
) -> None:
    path = f"{signed.path}/unsent/discard"
    why = {"reason": "Saved twice."}
    refused(signed.api.post(path, why, match=1), 404, "not_found")
    saved = Device(built, signed.path.split("/")[1], "tablet").save(split_reason="Tired.")
    revision = saved["revision"]
    refused(signed.api.post(path, why), 428, "version_required")
    refused(signed.api.post(path, why, match=revision - 1), 412, "stale_version")
    assert signed.api.post(path, {"reason": ""}, match=revision).status_code == 400
    NoteDraft.objects.update(practitioner_id=built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    refused(signed.api.post(path, why, match=revision), 403, "not_your_words")
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    NoteDraft.objects.update(practitioner_id=paula)
    assert ok(signed.api.post(path, why, match=revision))["draft"] is None
    client = Note.objects.get().client_id
    texts = [one["text"] for one in client_history(client)["results"]]
    assert any("(1 field) were discarded: Saved twice." in text for text in texts)
    assert Note.objects.get().addenda == []


def test_a_correction_is_merged_by_part_and_shown_before_and_after(signed: Device) -> None:
    """Ruling 58."""
    path = f"{signed.path}/addenda"
    sent = {"text": "Cardio was 5.", "corrected_minutes": {"cardio": 5}}
    answer = ok(signed.api.post(path, sent), 201)
    (addendum,) = answer["addenda"]
    assert addendum["corrected_minutes"] == {"stretching": 40, "cardio": 5}
    assert (addendum["before"]["minutes"], addendum["after"]["minutes"]) == (
        MINUTES,
        {"stretching": 40, "cardio": 5},
    )
    assert (answer["minutes"], answer["current_minutes"]) == (MINUTES, addendum["after"]["minutes"])
    assert (answer["attended_minutes"], answer["current_attended_minutes"]) == (60, 55)
    ninety = {"text": "x", "corrected_minutes": {"stretching": 80}}
    assert "minutes" in {
        e["field"] for e in refused(signed.api.post(path, ninety), 400, "invalid")["errors"]
    }
    for wrong in ({}, {"stretching": 0, "cardio": None}, {"cardio": 5}):
        assert signed.api.post(path, {"text": "x", "corrected_minutes": wrong}).status_code == 400
    longer = {
        "text": "Stayed longer.",
        "corrected_minutes": {"cardio": 25},
        "ended_at": (_end(signed) + timedelta(minutes=15)).isoformat(),
    }
    refused(signed.api.post(path, longer), 409, "confirmation_needed")
    ok(signed.api.post(path, {**longer, "confirm_more_than_booked": True}), 201)
    assert compare().differences == []


def _end(signed: Device) -> datetime:
    return Note.objects.get(session_id=signed.path.split("/")[1]).ended_at


def test_a_save_names_unknown_codes_lines_outside_and_minutes_that_cannot_be(built: Built) -> None:
    """They showed only at the signature."""
    session = took_place(built, open_client(built), hands_on_today="no")
    phone = Device(built, session["id"])
    misspelt = line(stretch="abducton_pattern", mode="self_directed")
    outside, within = line(), line(mode="self_directed")
    saved = phone.save(
        lines=[misspelt, outside, within], minutes={"stretching": 70}, attended_minutes=71
    )
    found = {(one["field"], one["code"]): one for one in saved["findings"]}
    assert set(found) == {
        (f"lines.{misspelt['line_id']}", "stretch_unknown"),
        (f"lines.{outside['line_id']}", "outside_permission"),
        ("minutes", "impossible_minutes"),
        ("attended_minutes", "impossible_minutes"),
        ("minutes", "more_than_booked"),
    }
    marked = found[f"lines.{outside['line_id']}", "outside_permission"]
    assert marked["allowed"] == "self_directed"
    assert "arrival.no_hands_on" in {one["code"] for one in marked["reasons"]}
    assert phone.read()["draft"]["findings"] == saved["findings"]
    right: dict[str, Any] = {"minutes": {"stretching": 50}, "attended_minutes": 50}
    rest = phone.save(remove_lines=[misspelt["line_id"], outside["line_id"]], **right)
    assert rest["findings"] == []


def test_a_collision_names_the_findings_too(built: Built) -> None:
    session = took_place(built, open_client(built))
    phone, tablet = Device(built, session["id"]), Device(built, session["id"], "tablet")
    phone.save(plan="Friday")
    told = refused(tablet.send(plan="Monday", lines=[line(stretch="nek")]), 412, "colliding_save")
    assert [one["code"] for one in told["findings"]] == ["stretch_unknown", "outside_permission"]


# --- the clock, through the day ---------------------------------------------------------


def today(built: Built, at: datetime, minutes: int = 60) -> dict[str, Any]:
    """A session of today, arrived five minutes ahead."""
    with clock.at(at - timedelta(hours=2)):
        booked = book(built, open_client(built), at.isoformat(), minutes=minutes)
    with clock.at(at - timedelta(minutes=5)):
        ok(built.api(Role.FRONT_DESK).post(f"sessions/{booked['id']}/arrival", WELL))
    return booked


@pytest.fixture
def noon() -> datetime:
    return datetime.fromisoformat(local(1, 12))


def opened(built: Built, session: dict[str, Any], at: datetime) -> list[str]:
    """The warnings of opening a session at a time."""
    with clock.at(at):
        answer = ok(built.api(Role.PRACTITIONER).post(f"sessions/{session['id']}/opening"))
    told = [answer["reason_texts"][str(number)]["code"] for number in answer["opening_warnings"]]
    return [code for code in told if code.startswith(("o", "s"))]


def test_sessions_opened_ahead_do_not_overlap_and_say_so(built: Built, noon: datetime) -> None:
    """Ruling 58: opening ahead made visits overlap and go unpaid with no warning."""
    first, second = today(built, noon), today(built, noon + timedelta(hours=1))
    assert opened(built, first, noon) == []
    assert opened(built, second, noon + timedelta(minutes=1)) == [
        "opened_outside_booked_time",
        "overlaps_practitioner",
    ]
    for number, session in enumerate((first, second)):
        with clock.at(noon + timedelta(minutes=120 + number)):
            phone = Device(built, session["id"])
            phone.save(**whole_note())
            ok(phone.sign(), 201)
    one, two = Note.objects.order_by("started_at")
    assert (one.started_from, two.started_from) == ("opening", "booking")
    assert one.ended_at <= two.started_at
    assert (one.warnings, two.warnings) == ([], [])


def test_time_shared_with_a_signed_session_is_warned_of_at_the_signature(
    built: Built, noon: datetime
) -> None:
    first, second = today(built, noon), today(built, noon + timedelta(hours=1))
    with clock.at(noon + timedelta(minutes=75)):
        phone = Device(built, first["id"])
        later = (noon + timedelta(minutes=70)).isoformat()
        phone.save(**whole_note(ended_at=later))
        signed = ok(phone.sign(), 201)
    assert [one["code"] for one in signed["warnings"]] == ["overlaps_practitioner"]
    with clock.at(noon + timedelta(hours=2)):
        other = Device(built, second["id"])
        other.save(**whole_note())
        signed = ok(other.sign(), 201)
    assert [one["code"] for one in signed["warnings"]] == ["overlaps_practitioner"]
    assert "12:00 to 13:10" in signed["warnings"][0]["text"]


def test_signing_before_the_end_is_foretold_at_the_save_and_warned_of(
    built: Built, noon: datetime
) -> None:
    """Ruling 58: a 60-minute note was signed 73 seconds after opening."""
    session = today(built, noon)
    opened(built, session, noon)
    with clock.at(noon + timedelta(seconds=73)):
        phone = Device(built, session["id"])
        early = phone.save(plan="x")["findings"]
        assert early == [], "before any minutes nobody is about to sign"
        saved = phone.save(**whole_note())
        assert [(one["field"], one["code"]) for one in saved["findings"]] == [
            ("minutes", "more_than_passed"),
            ("signature", "signed_before_end"),
        ]
        signed = ok(phone.sign(), 201)
    assert [one["code"] for one in signed["warnings"]] == ["signed_before_end"]
    assert (signed["started_from"], signed["ended_from"]) == ("opening", "booking")


def test_the_draft_sets_start_and_end_and_more_than_booked_is_confirmed(
    built: Built, noon: datetime
) -> None:
    session = today(built, noon, minutes=30)
    with clock.at(noon + timedelta(minutes=50)):
        phone = Device(built, session["id"])
        typo = phone.save(**whole_note(minutes={"stretching": 240}, not_counted_minutes=0))
        assert {one["code"] for one in typo["findings"]} >= {"impossible_minutes"}
        refused(phone.sign(), 400, "impossible_minutes")
        future = (noon + timedelta(hours=2)).isoformat()
        early = phone.save(ended_at=future, minutes={"stretching": 40})
        assert {"impossible_times"} <= {one["code"] for one in early["findings"]}
        refused(phone.sign(), 400, "impossible_times")
        phone.save(ended_at=(noon + timedelta(minutes=40)).isoformat(), minutes={"cardio": None})
        refused(phone.sign(), 409, "confirmation_needed")
        body = {"confirm_more_than_booked": True}
        signature = f"{phone.path}/signature"
        signed = ok(phone.api.post(signature, body, match=phone.revision, key=key()), 201)
    assert (signed["attended_minutes"], signed["booked_minutes"]) == (40, 30)
    assert signed["ended_from"] == "practitioner"
    assert [one["code"] for one in signed["warnings"]] == ["more_than_booked"]


def test_an_unknown_stretch_that_is_signed_is_warned_of(built: Built) -> None:
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note(lines=[line(stretch="nek", mode="self_directed")]))
    signed = ok(phone.sign(), 201)
    assert [one["code"] for one in signed["warnings"]] == ["stretch_unknown"]
    assert "nek" in signed["warnings"][0]["text"]


# --- who is named -----------------------------------------------------------------------


def _outside(built: Built, practitioner: Credential) -> str:
    """A note with a line outside its permission, put there as it is found later."""
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note(lines=[line()]))
    ok(phone.sign(), 201)
    rows = Note.objects.filter(session_id=phone.path.split("/")[1])
    rows.update(is_outside=True, practitioner_id=built.practitioners[practitioner].pk)
    return phone.path.split("/")[1]


def test_work_outside_its_permission_names_people_and_practitioners_see_their_own(
    built: Built,
) -> None:
    mine = _outside(built, Credential.PHYSICAL_THERAPIST)
    with clock.at(clock.now() - timedelta(days=1)):
        other = _outside(built, Credential.MASSAGE_THERAPIST)
    rows = ok(built.api(Role.OWNER).get("notes/outside-permission"))["results"]
    assert {row["session_id"] for row in rows} == {mine, other}
    assert {row["client_name"] for row in rows} == {"Rosa Marsh"}
    names = {str(one.pk): one.name for one in built.practitioners.values()}
    assert all(row["practitioner_name"] == names[row["practitioner_id"]] for row in rows)
    own = ok(built.api(Role.PRACTITIONER).get("notes/outside-permission"))["results"]
    assert [row["session_id"] for row in own] == [mine]
    for role in (Role.FRONT_DESK, Role.BILLING):
        refused(built.api(role).get("notes/outside-permission"), 403, "forbidden")


def supervise(built: Built, supervisor: Practitioner, day: str) -> dict[str, Any]:
    """Another physical therapist supervises the physical therapist in the east on a day."""
    body = {
        "supervisor_id": str(supervisor.pk),
        "supervised_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "day": day,
    }
    made: dict[str, Any] = ok(built.api(Role.OWNER).post("supervisions", body, key=key()), 201)
    return made


def test_a_note_names_its_supervisor_and_keeps_the_supervision_that_it_rests_on(
    built: Built,
) -> None:
    day = clock.now().astimezone().date()
    session = took_place(built, open_client(built))
    on = Session.objects.get(pk=session["id"]).local_date
    supervisor = practitioner("Rosa Amsel", Credential.PHYSICAL_THERAPIST, built.east)
    made = supervise(built, supervisor, on.isoformat())
    later = supervise(built, supervisor, str(on + timedelta(days=3)))
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    signed = ok(phone.sign(), 201)
    assert (signed["supervisor_id"], signed["supervisor_name"]) == (
        str(supervisor.pk),
        supervisor.name,
    )
    owner = built.api(Role.OWNER)
    told = refused(owner.delete(f"supervisions/{made['id']}"), 409, "supervision_in_use")
    assert session["id"] in told["reasons"][0]["text"]
    ending = {"supervised_id": made["supervised_id"], "facility_id": made["facility_id"]}
    refused(
        owner.post("supervisions/ending", {**ending, "from_day": on.isoformat()}),
        409,
        "supervision_in_use",
    )
    ended = ok(owner.post("supervisions/ending", {**ending, "from_day": str(on + timedelta(1))}))
    assert ended == {"days": [later["day"]]}
    left = ok(owner.get(f"supervisions?supervised_id={made['supervised_id']}"))["results"]
    assert [one["id"] for one in left] == [made["id"]]
    again = {**ending, "from_day": str(day + timedelta(days=1))}
    refused(owner.post("supervisions/ending", again), 404, "not_found")
    spare = supervise(built, supervisor, str(on + timedelta(days=9)))
    assert owner.delete(f"supervisions/{spare['id']}").status_code == 204


def test_an_addendum_to_a_draft_says_that_it_is_a_draft_and_how_to_sign(built: Built) -> None:
    session = took_place(built, open_client(built))
    path, own = f"sessions/{session['id']}/note/addenda", built.api(Role.PRACTITIONER)
    refused(own.post(path, {"text": "Also the left arm."}), 404, "not_found")
    device = Device(built, session["id"])
    device.save(**whole_note())
    problem = refused(own.post(path, {"text": "Also the left arm."}), 409, "note_not_signed")
    assert problem["current_version"] == device.revision
    assert "POST .../note/signature" in problem["detail"]
    ok(device.sign(), 201)
    ok(own.post(path, {"text": "Also the left arm."}), 201)
