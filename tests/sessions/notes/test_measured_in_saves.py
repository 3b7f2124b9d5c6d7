"""Readings and circumferences in the saves of a draft: each is recorded once, by the command that
records it anywhere, and one that is refused loses nothing else."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from practice.audit.rebuild import compare
from practice.clock import clock
from sessions.measurements.models import Circumferences, Reading
from sessions.notes.models import NoteDraft
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
BOTH = {"interval_cm": 4, "left": [16.5, 18, 21], "right": [16, 18.5, 21]}


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def phone(built: Built) -> Device:
    return Device(built, took_place(built, open_client(built))["id"])


def taken(degrees: Any = 124, **more: Any) -> dict[str, Any]:
    """A reading as a device sends it in a save."""
    return {
        "line_id": str(uuid4()),
        "movement": "shoulder_flexion",
        "side": "left",
        "motion": "active",
        "degrees": degrees,
        "position": "sitting",
        "instrument": "goniometer",
        **more,
    }


def states(answer: dict[str, Any]) -> dict[str, str]:
    return {one["field"]: one["state"] for one in answer["measured_lines"]}


def lines_of(phone: Device) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = phone.read()["draft"]["measured_lines"]
    return found


def test_a_reading_in_a_save_is_a_reading_of_the_session(built: Built, phone: Device) -> None:
    one = taken(pain=2)
    (line,) = phone.save(plan="Friday", readings=[one])["measured_lines"]
    row = Reading.objects.get()
    assert (line["field"], line["state"], line["id"]) == (
        f"readings.{one['line_id']}",
        "taken",
        str(row.pk),
    )
    assert (row.degrees, row.pain, row.session_id) == (124, 2, NoteDraft.objects.get().session_id)
    assert [m["id"] for m in phone.read()["measured"]["readings"]] == [str(row.pk)]
    assert compare().differences == []


def test_circumferences_are_taken_the_same_way(built: Built, phone: Device) -> None:
    sent = {"line_id": str(uuid4()), **BOTH}
    phone.save(circumferences=[sent])
    assert states(phone.save(circumferences=[sent])) == {
        f"circumferences.{sent['line_id']}": "taken"
    }
    assert Circumferences.objects.get().left == BOTH["left"]


@pytest.mark.parametrize("again", ["same number", "new number", "other device", "app anew"])
def test_saved_twice_it_is_one_reading(built: Built, phone: Device, again: str) -> None:
    one = taken()
    first: dict[str, Any] = {"device": "phone", "sequence": 1, "readings": [one]}
    changes: dict[str, dict[str, Any]] = {
        "same number": {},
        "new number": {"sequence": 2},
        "other device": {"device": "tablet"},
        "app anew": {"app_start": "b"},
    }
    for sent in (first, {**first, **changes[again]}):
        answer = ok(phone.api.patch(phone.path, sent, match=0))
        assert states(answer) == {f"readings.{one['line_id']}": "taken"}
    assert Reading.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "code", "field"),
    [
        ({"degrees": 400}, "invalid", "degrees"),
        ({"degrees": "many"}, "invalid", "degrees"),
        ({"movement": "flying"}, "invalid", "movement"),
        ({"side": "both"}, None, "side"),
        ({"degrees": 175, "movement": "neck_rotation"}, None, "degrees"),
        ({"occurred_at": "2090-01-01T10:00:00Z"}, "invalid", "occurred_at"),
    ],
)
def test_one_that_is_refused_stays_in_the_draft_and_loses_nothing_else(
    built: Built, phone: Device, wrong: dict[str, Any], code: str | None, field: str
) -> None:
    bad, good = taken(**wrong), taken(118)
    answer = phone.save(plan="Friday", readings=[bad, good])
    assert answer["note"]["plan"] == "Friday"
    shown = {one["field"]: one for one in answer["measured_lines"]}
    assert shown[f"readings.{good['line_id']}"]["state"] == "taken"
    line = shown[f"readings.{bad['line_id']}"]
    assert (line["state"], line["sent"]) == ("not_taken", bad)
    assert field in line["problems"]
    assert line["text"]
    assert code in (None, line["code"])
    assert [one["code"] for one in answer["findings"] if one["field"] == line["field"]] == [
        "not_taken"
    ]
    assert [row.degrees for row in Reading.objects.all()] == [118]
    assert line in lines_of(phone)
    assert compare().differences == []


def test_it_is_taken_once_it_is_set_right_and_a_late_repeat_changes_nothing(
    built: Built, phone: Device
) -> None:
    bad = taken(400)
    wrong = {"device": "phone", "sequence": 1, "readings": [bad]}
    phone.save(readings=[bad])
    assert states(phone.save(readings=[{**bad, "degrees": 140}])) == {
        f"readings.{bad['line_id']}": "taken"
    }
    answer = ok(phone.api.patch(phone.path, wrong, match=0))
    assert list(states(answer).values()) == ["taken"]
    assert Reading.objects.get().degrees == 140


def test_what_is_not_taken_holds_up_the_signature_until_it_is_set_right_or_taken_out(
    built: Built, phone: Device
) -> None:
    bad = taken(400)
    phone.save(**whole_note(), readings=[bad])
    problem = refused(phone.sign(), 409, "measurements_not_taken")
    assert [one["field"] for one in problem["not_taken"]] == [f"readings.{bad['line_id']}"]
    phone.save(remove_readings=[bad["line_id"]])
    ok(phone.sign(), 201)
    assert not Reading.objects.exists()


def test_a_save_of_the_whole_note_leaves_what_was_measured(built: Built, phone: Device) -> None:
    one, bad = taken(), taken(400)
    phone.save(readings=[one, bad])
    answer = phone.save("PUT", **whole_note())
    assert sorted(states(answer).values()) == ["not_taken", "taken"]


def test_a_reading_that_comes_after_a_whole_save_is_taken_too(built: Built, phone: Device) -> None:
    late = {"device": "phone", "sequence": 1, "readings": [taken()]}
    whole = {"device": "phone", "sequence": 2, **whole_note()}
    ok(phone.api.put(phone.path, whole, match=0))
    assert list(states(ok(phone.api.patch(phone.path, late, match=0))).values()) == ["taken"]


def test_sent_with_another_value_the_first_stands_and_it_is_said(
    built: Built, phone: Device
) -> None:
    one = taken()
    phone.save(**whole_note(), readings=[one])
    (line,) = phone.save(readings=[{**one, "degrees": 90}])["measured_lines"]
    assert (line["state"], line["sent"]["degrees"]) == ("changed", 90)
    assert Reading.objects.get().degrees == 124
    refused(phone.sign(), 409, "measurements_not_taken")
    (line,) = phone.save(remove_readings=[one["line_id"]])["measured_lines"]
    assert (line["state"], line["sent"]) == ("changed", None)
    ok(phone.sign(), 201)


def test_one_entered_in_error_does_not_come_back_with_its_save(built: Built, phone: Device) -> None:
    one = taken()
    phone.save(readings=[one])
    row = Reading.objects.get()
    error = f"clients/{row.client_id}/range-of-motion/{row.pk}/entered-in-error"
    ok(phone.api.post(error, {"reason": "The other arm."}))
    assert list(states(phone.save(readings=[one])).values()) == ["in_error"]
    NoteDraft.objects.all().delete()
    phone.revision = 0
    assert list(states(phone.save(readings=[one])).values()) == ["in_error"]
    assert not Reading.objects.exists()


def test_two_values_from_two_devices_are_both_shown(built: Built, phone: Device) -> None:
    bad = taken(400)
    phone.save(readings=[bad])
    tablet = Device(built, phone.path.split("/")[1], "tablet")
    problem = refused(tablet.send(readings=[{**bad, "degrees": 140}]), 412, "colliding_save")
    assert [one["state"] for one in problem["measured_lines"]] == ["collides"]
    assert not Reading.objects.exists()
    tablet.read()
    tablet.save(readings=[{**bad, "degrees": 140}])
    assert Reading.objects.get().degrees == 140


def test_of_two_values_neither_is_taken_when_what_refused_the_first_is_over(
    built: Built, phone: Device
) -> None:
    soon = clock.now() + timedelta(minutes=30)
    early = taken(occurred_at=soon.isoformat())
    phone.save(readings=[early])
    tablet = Device(built, phone.path.split("/")[1], "tablet")
    refused(tablet.send(readings=[{**early, "degrees": 140}]), 412, "colliding_save")
    with clock.at(soon + timedelta(minutes=1)):
        phone.save(plan="Friday")
    assert not Reading.objects.exists()


def test_after_the_signature_it_is_taken_as_late_and_leaves_no_unsent_words(
    built: Built, phone: Device
) -> None:
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    answer = phone.save(readings=[taken()])
    assert list(states(answer).values()) == ["taken"]
    assert Reading.objects.count() == 1
    assert phone.read()["draft"] is None
    assert ok(phone.api.get("notes/unsent"))["results"] == []


def test_after_the_signature_one_that_is_refused_waits_with_the_unsent_words(
    built: Built, phone: Device
) -> None:
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    bad, good = taken(400), taken()
    saved = phone.save(readings=[bad, good])
    assert saved["state"] == "unsent_addendum"
    assert sorted(states(saved).values()) == ["not_taken", "taken"]
    sent = {"text": "What came late.", "send_unsent": saved["revision"]}
    (added,) = ok(phone.api.post(f"{phone.path}/addenda", sent), 201)["addenda"]
    (said,) = added["late"]["texts"].values()
    assert said.startswith("reading, not recorded: ")
    assert "degrees 400" in said
    assert phone.read()["draft"] is None
    assert Reading.objects.count() == 1


def test_the_answer_says_what_the_reading_asks_to_see_to(built: Built, phone: Device) -> None:
    """As its own request does, where it dropped since last time."""
    before = (clock.now() - timedelta(days=4)).isoformat()
    phone.save(readings=[taken(150, occurred_at=before)])
    (_, line) = sorted(
        phone.save(readings=[taken(100)])["measured_lines"], key=lambda one: len(one["warnings"])
    )
    assert [one["code"] for one in line["warnings"]] == ["second_reading"]


def test_the_same_id_in_another_session_is_another_reading(built: Built, phone: Device) -> None:
    one = taken()
    phone.save(readings=[one])
    other = Device(built, took_place(built, open_client(built))["id"])
    assert list(states(other.save(readings=[one])).values()) == ["taken"]
    assert Reading.objects.count() == 2


@pytest.mark.parametrize(
    "line", [{"line_id": "x"}, {}, {"line_id": str(uuid4()), "colour": "red"}, 7]
)
def test_a_line_without_its_id_or_with_an_unknown_name_is_a_fault_of_the_device(
    built: Built, phone: Device, line: Any
) -> None:
    refused(phone.send(readings=[line]), 400, "invalid")


def test_one_line_is_sent_once_in_a_save(built: Built, phone: Device) -> None:
    one = taken()
    refused(phone.send(readings=[one, one]), 400, "invalid")
    refused(phone.send(readings=[one], remove_readings=[one["line_id"]]), 400, "invalid")


def test_after_a_note_entered_in_error_what_was_measured_stands_in_the_new_draft(
    built: Built, phone: Device
) -> None:
    phone.save(**whole_note(), readings=[taken()])
    ok(phone.sign(), 201)
    done = ok(phone.api.post(f"{phone.path}/entered-in-error", {"reason": "x"}, key=key()))
    assert list(states(done["draft"]).values()) == ["taken"]
    phone.read()
    phone.save(**whole_note())
    ok(phone.sign(), 201)
