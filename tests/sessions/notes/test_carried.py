"""The author takes the words of a note in error over to where they belong, and touches each."""

from __future__ import annotations

from typing import Any

import pytest

from practice.accesslog.models import AccessEntry
from practice.core.terms import Credential, Role
from sessions.notes.models import Note
from tests.builders import Api, Built, account, build_practice, ok, refused, token_for
from tests.sessions.booking.http import WELL, book, key, local, took_place
from tests.sessions.notes.http import MINUTES, TEXTS, Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
STRENGTH = {
    "line_id": "00000000-0000-4000-8000-000000000001",
    "exercise": "row with a band",
    "sets": 2,
    "repetitions": 10,
}
WHY = {"reason": "Written for another client."}


def held(built: Built, hour: int, **more: Any) -> dict[str, Any]:
    """A session of another client that took place yesterday, at another hour."""
    found: dict[str, Any] = book(
        built, open_client(built), local(-1, hour), attendance="attended", answers=WELL, **more
    )
    return found


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def wrong(built: Built) -> Device:
    """A session of another client whose note was signed and entered in error."""
    found = Device(built, took_place(built, open_client(built))["id"])
    mine = line(mode="self_directed", pain_before=3)
    found.save(**whole_note(lines=[mine], strength=[STRENGTH]))
    ok(found.sign(), 201)
    ok(found.api.post(f"{found.path}/entered-in-error", WHY, key=key()))
    return found


@pytest.fixture
def right(built: Built, wrong: Device) -> Device:
    """The session where it belongs, with nothing written yet."""
    return Device(built, held(built, 13)["id"])


def carry(device: Device, number: int = 900, **more: Any) -> Any:
    sent = {"device": device.name, "sequence": number, **more}
    if "carry_from" not in sent:
        sent["carry_from"] = str(Note.objects.get().pk)
    return device.api.post(f"{device.path}/carried", sent, match=device.revision)


def carried(device: Device, **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(carry(device, **more))
    device.revision = found["revision"]
    return found


def untouched(answer: dict[str, Any]) -> list[str]:
    return [one["field"] for one in answer["findings"] if one["code"] == "carried_untouched"]


def test_texts_minutes_and_what_was_done_are_carried_and_marked(right: Device) -> None:
    found = carried(right)
    note = found["note"]
    assert {name: note[name] for name in TEXTS} == TEXTS
    assert (note["minutes"], note["not_counted_minutes"]) == (MINUTES, 10)
    (one,), (work,) = note["lines"], note["strength"]
    assert (one["response"], one["pain_before"], one["mode"]) == ("more", 3, "self_directed")
    assert (work["exercise"], work["sets"]) == ("row with a band", 2)
    assert set(untouched(found)) == {
        *TEXTS,
        *(f"minutes.{part}" for part in MINUTES),
        "not_counted_minutes",
        f"lines.{one['line_id']}",
        f"strength.{work['line_id']}",
    }


def test_nothing_is_signed_before_its_author_has_touched_it(right: Device) -> None:
    found = carried(right)
    told = refused(right.sign(), 409, "carried_untouched")
    assert set(told["untouched"]) == set(untouched(found))
    one, work = found["note"]["lines"][0]["line_id"], found["note"]["strength"][0]["line_id"]
    left = right.save(**TEXTS, minutes=MINUTES, not_counted_minutes=10)
    assert set(untouched(left)) == {f"lines.{one}", f"strength.{work}"}
    done = right.save(lines=[{"line_id": one}], remove_strength=[work])
    assert untouched(done) == []
    sent = {"re_enters": str(Note.objects.get().pk)}
    path = f"{right.path}/signature"
    signed = ok(right.api.post(path, sent, match=right.revision, key=key()), 201)
    assert (signed["plan"], signed["re_enters"]) == (TEXTS["plan"], sent["re_enters"])
    assert (len(signed["lines"]), signed["strength"]) == (1, [])
    refused(carry(right, carry_from=sent["re_enters"]), 400, "invalid")


def test_a_whole_save_confirms_only_what_it_says_otherwise(right: Device) -> None:
    found = carried(right)
    one, work = found["note"]["lines"][0], found["note"]["strength"][0]
    whole = whole_note(plan="Once a week.", lines=[one], strength=[work])
    left = right.save("PUT", **whole)
    assert set(untouched(left)) == set(untouched(found)) - {"plan"}
    left = right.save("PUT", **{**whole, "lines": [{**one, "pain_before": 2}]})
    assert set(untouched(found)) - set(untouched(left)) == {"plan", f"lines.{one['line_id']}"}
    refused(right.sign(), 409, "carried_untouched")
    named = right.save(subjective=TEXTS["subjective"], strength=[{"line_id": work["line_id"]}])
    assert "subjective" not in untouched(named)


def test_what_the_draft_says_already_stays_and_is_its_author_s(right: Device) -> None:
    right.save(plan="Once a week.")
    found = carried(right)
    assert found["note"]["plan"] == "Once a week."
    assert "plan" not in untouched(found)
    assert "plan" not in found["written"]


def test_a_late_save_of_before_touches_nothing(right: Device) -> None:
    early = right.revision
    right.save(objective="Arm rises.")
    carried(right)
    sent = {"device": "tablet", "sequence": 1, "plan": TEXTS["plan"]}
    late = ok(right.api.send("PATCH", right.path, sent, match=early))
    assert "plan" in untouched(late)


def test_carried_twice_it_is_once_and_what_was_touched_is_not_marked_again(right: Device) -> None:
    first = carried(right)
    assert ok(carry(right))["written"] == []
    right.save(plan=TEXTS["plan"])
    again = ok(carry(right, number=901))
    assert again["note"] == first["note"]
    assert "plan" not in untouched(again)


def test_a_line_outside_its_permission_here_is_marked_and_its_explanation_not_carried(
    built: Built,
) -> None:
    wrong = Device(built, took_place(built, open_client(built))["id"])
    odd = line(stretch="nek", mode="hands_on")
    wrong.save(**whole_note(lines=[odd], explanations={odd["line_id"]: "Asked for it."}))
    ok(wrong.sign(), 201)
    ok(wrong.api.post(f"{wrong.path}/entered-in-error", WHY, key=key()))
    right = Device(built, held(built, 13)["id"])
    found = carried(right)
    assert "outside_permission" in {one["code"] for one in found["findings"]}
    assert found["note"]["explanations"] == {}


def test_only_the_author_and_only_from_a_note_in_error(built: Built, wrong: Device) -> None:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    session = held(built, 13, practitioner_id=str(olga.pk))
    other = Device(built, session["id"])
    other.api = Api(token_for(account("olga", Role.PRACTITIONER, built.east, of=olga)))
    refused(carry(other), 400, "invalid")
    theirs = Device(built, held(built, 14)["id"])
    Note.objects.update(entered_in_error="")
    refused(carry(theirs), 400, "invalid")


def test_after_the_signature_nothing_untouched_is_sent_with_an_addendum(right: Device) -> None:
    wrong_id = str(Note.objects.get().pk)
    right.save(**whole_note(plan="Once a week."))
    ok(right.sign(), 201)
    found = carried(right, carry_from=wrong_id)
    sending = {"send_unsent": right.revision}
    told = refused(right.api.post(f"{right.path}/addenda", sending), 409, "carried_untouched")
    assert set(told["untouched"]) == set(untouched(found))
    one, work = found["note"]["lines"][0]["line_id"], found["note"]["strength"][0]["line_id"]
    right.save(lines=[{"line_id": one}], remove_strength=[work])
    sending = {"send_unsent": right.revision}
    added = ok(right.api.post(f"{right.path}/addenda", sending), 201)
    assert [line["line_id"] for line in added["addenda"][-1]["late"]["lines"]] == [one]


def test_that_the_words_of_another_client_were_read_is_logged(right: Device) -> None:
    theirs = AccessEntry.objects.filter(client_id=Note.objects.get().client_id)
    before = theirs.count()
    carried(right)
    assert theirs.count() == before + 1
