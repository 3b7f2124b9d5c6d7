"""Lines brought into a draft by one act: from the plan as done as planned, from the last note
marked. Minutes, pain and texts are never brought."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Mode, Role, Side, Technique
from sessions.notes.domain.terms import BroughtFrom
from sessions.plan.domain.brought_lines import PlannedLine, lines_of_plan, lines_to_save
from tests.builders import Api, Built, ok, refused
from tests.sessions.booking.http import WELL, book, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
HERE = UUID(int=1)


def planned(mode: Mode = Mode.HANDS_ON, **changes: Any) -> PlannedLine:
    values: dict[str, Any] = {
        "prescription_id": UUID(int=2),
        "stretch": "chest_arms_out",
        "technique": Technique.ACTIVE_ISOLATED,
        "side": Side.BOTH,
        "mode": mode,
        "repetitions": 8,
        "hold_seconds": 2,
    }
    return PlannedLine(**{**values, **changes})


def test_a_line_of_the_plan_has_dose_and_mode_and_nothing_that_must_be_entered() -> None:
    (one,) = lines_of_plan(HERE, [planned(), planned(Mode.NOT_TODAY)], "")
    assert (one.stretch, one.repetitions, one.hold_seconds, one.mode) == (
        "chest_arms_out",
        8,
        2,
        Mode.HANDS_ON,
    )
    assert (one.minute, one.pain_before, one.pain_after, one.response) == (None, None, None, "")
    assert one.brought_from is BroughtFrom.PLAN
    (again,) = lines_of_plan(HERE, [planned(Mode.SELF_DIRECTED)], "well")
    assert (again.line_id, again.response) == (one.line_id, "well")
    (other,) = lines_of_plan(UUID(int=9), [planned()], "")
    assert other.line_id != one.line_id


def prescribed(built: Built, client_id: Any) -> None:
    api = built.api(Role.PRACTITIONER)
    for stretch, side in (("abduction_pattern", "left"), ("chest_arms_out", "both")):
        sent = {"stretch": stretch, "side": side, "facility_id": str(built.east.pk)}
        ok(api.post(f"clients/{client_id}/stretches", sent), 201)


def bring(device: Device, **more: Any) -> Any:
    sequence = next(device._numbers)
    sent = {"device": device.name, "sequence": sequence, "origin": "plan", **more}
    return device.api.post(f"{device.path}/lines", sent, match=device.revision)


def test_all_of_the_plan_is_done_by_one_act_and_the_exceptions_after_it(built: Built) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    brought = ok(bring(phone, response="As expected."))
    phone.revision = brought["revision"]
    lines = brought["note"]["lines"]
    assert {one["stretch"] for one in lines} == {"abduction_pattern", "chest_arms_out"}
    assert all(one["repetitions"] and one["response"] == "As expected." for one in lines)
    assert brought["note"]["minutes"] == {}, "minutes are entered"
    exception = line(line_id=lines[0]["line_id"], stretch=lines[0]["stretch"], repetitions=6)
    phone.save(**whole_note(lines=[exception]))
    again = ok(bring(Device(built, phone.path.split("/")[1], "tablet")))
    assert (again["written"], again["revision"]) == ([], phone.revision), "nothing is overwritten"
    signed = ok(phone.sign(), 201)
    (six,) = [one for one in signed["lines"] if one["line_id"] == exception["line_id"]]
    assert (six["repetitions"], six["brought_from"]) == (6, None)


def test_the_response_is_asked_for_where_it_was_not_said(built: Built) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    brought = ok(bring(phone))
    assert "response_missing" in {one["code"] for one in brought["findings"]}
    phone.revision = brought["revision"]
    phone.save(**whole_note())
    told = refused(phone.sign(), 400, "incomplete_note")
    assert {one["field"].split(".")[-1] for one in told["errors"]} == {"response"}


def test_a_response_said_later_reaches_the_lines_that_have_none(built: Built) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    first, second = ok(bring(phone))["note"]["lines"]
    phone.revision = 1
    own = line(line_id=first["line_id"], stretch=first["stretch"], response="less at the end")
    phone.save(lines=[own])
    answered = ok(bring(phone, response="As expected."))
    said = {one["line_id"]: one["response"] for one in answered["note"]["lines"]}
    assert said == {first["line_id"]: "less at the end", second["line_id"]: "As expected."}
    assert answered["written"] == [f"line.{second['line_id']}"]
    assert "response_missing" not in {one["code"] for one in answered["findings"]}
    phone.revision = answered["revision"]
    assert ok(bring(phone, response="Another."))["written"] == [], "what was said stays"


def test_what_was_said_of_a_line_before_it_was_there_is_not_overwritten() -> None:
    (one,) = lines_of_plan(HERE, [planned()], "As expected.")
    said = {"line_id": str(one.line_id), "pain_before": 2, "response": "less at the end"}
    (found,) = lines_to_save([one], {f"line.{one.line_id}": said})
    assert (found.pain_before, found.response) == (2, "less at the end")
    assert (found.stretch, found.repetitions) == ("chest_arms_out", 8)


def test_a_line_of_the_plan_keeps_what_a_save_leaves_out_of_it(built: Built) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    first, second = ok(bring(phone))["note"]["lines"]
    phone.revision = 1
    said = {"line_id": first["line_id"], "response": "less at the end"}
    lines = {one["line_id"]: one for one in phone.save(lines=[said])["note"]["lines"]}
    assert lines[first["line_id"]] == {**first, **said, "brought_from": None}
    assert lines[second["line_id"]] == second


def test_lines_of_the_last_note_are_marked_until_they_are_touched(built: Built) -> None:
    client_id = open_client(built)
    before = Device(
        built, book(built, client_id, local(-3), attendance="attended", answers=WELL)["id"]
    )
    before.save(**whole_note(lines=[line(pain_before=3)]))
    ok(before.sign(), 201)
    phone = Device(built, took_place(built, client_id)["id"])
    brought = ok(bring(phone, origin="last_note"))
    (one,) = brought["note"]["lines"]
    assert (one["brought_from"], one["response"], one["minute"], one["pain_before"]) == (
        "last_note",
        "",
        None,
        None,
    )
    assert (brought["note"]["subjective"], brought["note"]["minutes"]) == ("", {})
    assert "untouched_line" in {found["code"] for found in brought["findings"]}
    phone.revision = brought["revision"]
    phone.save(**whole_note())
    refused(phone.sign(), 400, "incomplete_note")
    copied = phone.save("PUT", **whole_note(lines=[one]))
    assert "untouched_line" in {found["code"] for found in copied["findings"]}, "nothing was said"
    refused(phone.sign(), 400, "incomplete_note")
    saved = phone.save(lines=[line(line_id=one["line_id"])])
    assert "untouched_line" not in {found["code"] for found in saved["findings"]}
    ok(phone.sign(), 201)


def test_a_repeat_of_the_act_is_a_repeat_and_without_a_last_note_there_is_nothing(
    built: Built,
) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    api: Api = phone.api
    refused(bring(phone, origin="last_note"), 409, "no_last_note")
    sent = {"device": "phone", "sequence": 5, "origin": "plan"}
    first = ok(api.post(f"{phone.path}/lines", sent, match=0))
    removed = [one["line_id"] for one in first["note"]["lines"]]
    taken_out = {"device": "phone", "sequence": 6, "remove_lines": removed}
    gone = ok(api.patch(phone.path, taken_out, match=first["revision"]))
    more = {"stretch": "flexion_pattern", "side": "left", "facility_id": str(built.east.pk)}
    ok(api.post(f"clients/{client_id}/stretches", more), 201)
    again = ok(api.post(f"{phone.path}/lines", sent, match=0))
    assert (again["note"]["lines"], again["revision"]) == ([], gone["revision"])


def test_a_save_sets_no_mark_and_named_with_it_a_line_is_touched(built: Built) -> None:
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    first = ok(bring(phone))["note"]["lines"][0]
    phone.revision = 1
    own = line(brought_from="last_note")
    found = {one["line_id"]: one for one in phone.save(lines=[first, own])["note"]["lines"]}
    assert found[first["line_id"]]["brought_from"] is None
    assert found[own["line_id"]]["brought_from"] is None


def test_a_late_save_that_says_no_more_than_was_signed_leaves_nothing_unsent(built: Built) -> None:
    """The whole note as it was read before a line was confirmed comes after the signature."""
    client_id = open_client(built)
    prescribed(built, client_id)
    phone = Device(built, took_place(built, client_id)["id"])
    brought = ok(bring(phone, response="As expected."))
    lines = [
        {key: one[key] for key in one if one[key] is not None} for one in brought["note"]["lines"]
    ]
    base = phone.revision = brought["revision"]
    phone.save(**whole_note(lines=[lines[0]]))
    ok(phone.sign(), 201)
    phone.revision = base
    phone.save("PUT", **whole_note(lines=lines))
    assert phone.read()["draft"] is None
    phone.revision = base
    phone.save("PUT", **whole_note(lines=[{**lines[0], "repetitions": 3}, lines[1]]))
    assert phone.read()["draft"]["state"] == "unsent_addendum", "said otherwise, it waits"
