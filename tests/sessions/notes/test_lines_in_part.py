"""A save says of a line what changed, over HTTP: the rest of the line stays."""

from __future__ import annotations

import pytest

from practice.core.terms import Role
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def phone(built: Built) -> Device:
    return Device(built, took_place(built, open_client(built))["id"])


def test_a_line_keeps_what_a_save_leaves_out_of_it(phone: Device) -> None:
    mine = line()
    phone.save(lines=[mine])
    said = {"line_id": mine["line_id"], "pain_after": 1, "response": None}
    (found,) = phone.save(lines=[said])["note"]["lines"]
    assert {name: found[name] for name in mine} == {**mine, "response": ""}
    assert found["pain_after"] == 1


def test_a_whole_save_says_all_of_its_lines(phone: Device) -> None:
    mine = line()
    phone.save(lines=[mine])
    short = {name: one for name, one in mine.items() if name != "response"}
    (found,) = phone.save("PUT", lines=[short])["note"]["lines"]
    assert found["response"] == ""
    answer = phone.send("PUT", lines=[{"line_id": mine["line_id"], "pain_after": 1}])
    refused(answer, 400, "invalid")


def test_the_other_lines_keep_what_is_left_out_too(phone: Device) -> None:
    ids = [f"00000000-0000-4000-8000-00000000000{number}" for number in (1, 2)]
    strength = {"line_id": ids[0], "exercise": "row", "sets": 2, "repetitions": 10, "load_kg": 2}
    cardio = {"line_id": ids[1], "mode": "walking", "minutes": 10, "heart_rate": 112}
    phone.save(strength=[strength], cardio=[cardio])
    note = phone.save(
        strength=[{"line_id": ids[0], "sets": 3}], cardio=[{"line_id": ids[1], "exertion": 5}]
    )["note"]
    assert (note["strength"][0]["sets"], note["strength"][0]["load_kg"]) == (3, 2)
    assert (note["cardio"][0]["heart_rate"], note["cardio"][0]["exertion"]) == (112, 5)


def test_a_line_whose_first_save_is_under_way_holds_up_the_signature_until_it_comes(
    phone: Device,
) -> None:
    mine = line(mode="self_directed")
    said = {"line_id": mine["line_id"], "pain_after": 1}
    saved = phone.save(**whole_note(lines=[said]))
    (found,) = [one for one in saved["findings"] if one["code"] == "incomplete_line"]
    assert found["field"] == f"lines.{mine['line_id']}"
    assert "pain_after 1" in found["text"]
    told = refused(phone.sign(), 409, "incomplete_lines")
    assert [one["field"] for one in told["incomplete"]] == [found["field"]]
    (whole,) = phone.save(lines=[mine])["note"]["lines"]
    assert whole["pain_after"] == 1
    (kept,) = ok(phone.sign(), 201)["lines"]
    assert (kept["pain_after"], kept["stretch"]) == (1, mine["stretch"])


def test_after_the_signature_the_whole_line_stands_beside_the_note(
    built: Built, phone: Device
) -> None:
    mine = line(mode="self_directed")
    phone.save(**whole_note(lines=[mine]))
    ok(phone.sign(), 201)
    late = phone.save(lines=[{"line_id": mine["line_id"], "pain_after": 1}])
    assert late["state"] == "unsent_addendum"
    sent = {"text": "Pain after.", "send_unsent": late["revision"]}
    api = built.api(Role.PRACTITIONER)
    noted = ok(api.post(f"{phone.path}/addenda", sent, key=key()), 201)
    (line_,) = noted["addenda"][0]["late"]["lines"]
    assert (line_["pain_after"], line_["response"]) == (1, mine["response"])


def test_an_incomplete_line_is_not_sent_with_an_addendum(built: Built, phone: Device) -> None:
    phone.save(**whole_note())
    ok(phone.sign(), 201)
    late = phone.save(lines=[{"line_id": line()["line_id"], "pain_after": 1}])
    sent = {"text": "Pain after.", "send_unsent": late["revision"]}
    api = built.api(Role.PRACTITIONER)
    refused(api.post(f"{phone.path}/addenda", sent, key=key()), 409, "incomplete_lines")
