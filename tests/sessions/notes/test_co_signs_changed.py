"""Another word on whether the supervisor co-signs (ruling 43): with a reason, for what comes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Credential, Role
from practice.people_and_places.locks import lock_rows
from practice.people_and_places.models.practitioners import Supervision
from practice.people_and_places.selectors.kept import supervisions_on
from practice.policy.models import SettingChange
from practice.policy.row_seals import row_faults
from sessions.notes.domain.co_signature_texts import changed_text
from sessions.notes.domain.co_signatures import CoSignatureStatus
from sessions.notes.services import notes
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import book, local, took_place
from tests.sessions.notes.co_signing import CoSigning
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
WHY = "First weeks at this facility."


@pytest.fixture
def built() -> Built:
    return build_practice()


def path_of() -> str:
    return f"supervisions/{Supervision.objects.get().pk}"


def change(built: Built, *, co_signs: bool, reason: str = WHY) -> Any:
    api = built.api(Role.OWNER)
    return api.change(path_of(), {"co_signs": co_signs, "reason": reason})


def another(built: Built, *, signed: bool = True) -> tuple[str, Device]:
    """One more session of that day by the same practitioner; its note is signed, or not."""
    session = took_place(built, open_client(built))
    device = Device(built, session["id"])
    if signed:
        device.save(**whole_note(lines=[line()]))
        ok(device.sign(), 201)
    return session["id"], device


def test_who_co_signs_is_asked_of_what_is_signed_from_then_on(built: Built) -> None:
    under = CoSigning.furnished(built, law=False)
    under.sign()
    waiting, device = another(built, signed=False)
    answer = ok(change(built, co_signs=True))
    assert (answer["co_signs"], answer["reason"]) == (True, WHY)
    notes = {one["session_id"]: one for one in answer["notes"]}
    assert [(one["signed"], one["changes"]) for one in answer["notes"]] == [
        (False, True),
        (True, False),
    ]
    assert "once signed, it waits for a co-signature" in notes[waiting]["text"]
    assert "no co-signature is asked of it" in notes[under.session_id]["text"]
    device.save(**whole_note(lines=[line()]))
    assert ok(device.sign(), 201)["co_signature"]["status"] == "waiting"
    assert under.read()["co_signature"]["status"] == "not_required", "it stays as it was signed"


def test_what_waits_waits_on_and_what_is_signed_after_asks_no_more(built: Built) -> None:
    under = CoSigning.furnished(built, law=False, co_signs=True)
    under.sign()
    done, device = another(built)
    other = CoSigning(built, done, under.rosa, under.account, device)
    ok(other.co_sign(), 201)
    answer = ok(change(built, co_signs=False, reason="They know the work by now."))
    (told,) = answer["notes"]
    assert (told["session_id"], told["changes"]) == (under.session_id, False)
    assert told["text"].endswith("it waits on.")
    assert under.read()["co_signature"]["status"] == "waiting"
    _, device = another(built, signed=False)
    device.save(**whole_note(lines=[line()]))
    assert ok(device.sign(), 201)["co_signature"]["status"] == "not_required"


def test_a_signature_that_waited_for_the_change_goes_by_it(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The row is held before anything is judged by it, and what was read before is not used."""
    under = CoSigning.furnished(built, law=False)
    day = Supervision.objects.get().day

    def changed_meanwhile(model: Any, ids: frozenset[UUID]) -> dict[UUID, Any]:
        supervisions_on(built.east.pk, day)
        Supervision.objects.filter(pk__in=ids).update(co_signs=True)
        return lock_rows(model, ids)

    monkeypatch.setattr(notes, "lock_rows", changed_meanwhile)
    assert under.sign()["co_signature"]["status"] == "waiting"


def test_nothing_is_told_of_other_days_places_or_people(built: Built) -> None:
    under = CoSigning.furnished(built, law=False)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    theirs = {"practitioner_id": str(marco.pk), "attendance": "attended"}
    book(built, open_client(built), local(-1), **theirs)
    row = Supervision.objects.get()
    assert [one["session_id"] for one in ok(change(built, co_signs=True))["notes"]] == [
        under.session_id
    ]
    Supervision.objects.filter(pk=row.pk).update(facility=built.west)
    assert ok(change(built, co_signs=False))["notes"] == []


def test_the_history_keeps_what_stood_and_why_and_the_row_stays_sealed(built: Built) -> None:
    CoSigning.furnished(built, law=False)
    shown = ok(built.api(Role.FRONT_DESK).get(path_of()))
    assert (shown["co_signs"], shown["reason"], shown["revision"]) == (False, "", 1)
    ok(change(built, co_signs=True))
    kept = SettingChange.objects.filter(table="practice.Supervision").latest("id")
    assert kept.before is not None
    assert kept.after is not None
    assert (kept.before["co_signs"], kept.after["co_signs"], kept.after["reason"]) == (
        False,
        True,
        WHY,
    )
    assert kept.actor == built.staff[Role.OWNER].pk
    assert not [one for one in row_faults() if "Supervision" in one]


def test_a_supervision_from_before_there_was_a_reason_stands_as_it_was_sealed(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    CoSigning.furnished(built, law=False)
    monkeypatch.setattr(Supervision, "ADDED", {"co_signs": False})
    assert [one for one in row_faults() if "Supervision" in one], "its seal knows no such column"


def test_what_stands_already_a_missing_reason_and_a_stale_reading_are_refused(
    built: Built,
) -> None:
    CoSigning.furnished(built, law=False)
    problem = refused(change(built, co_signs=False), 409, "nothing_changed")
    assert problem["detail"] == "The supervisor does not co-sign that day already."
    assert change(built, co_signs=True, reason="  ").status_code == 400
    owner = built.api(Role.OWNER)
    body = {"co_signs": True, "reason": WHY}
    assert owner.patch(path_of(), body).status_code == 428
    assert owner.patch(path_of(), body, match=9).status_code == 412
    assert built.api(Role.PRACTITIONER).change(path_of(), body).status_code == 403
    assert not Supervision.objects.get().co_signs


@pytest.mark.parametrize(
    ("status", "codes", "co_signs", "says"),
    [
        ("not_required", [], True, "signed before"),
        ("not_required", [], False, None),
        ("co_signed", ["co_signature.supervision"], False, None),
        ("waiting", ["co_signature.law"], True, "waits already"),
        ("waiting", ["co_signature.supervision"], False, "it waits on"),
        ("returned", ["co_signature.law", "co_signature.supervision"], False, "the law"),
        ("addendum_since", ["co_signature.facility"], False, "the facility"),
    ],
)
def test_of_each_signed_note_what_is_so_is_said(
    status: str, codes: list[str], co_signs: bool, says: str | None
) -> None:
    text = changed_text(CoSignatureStatus(status), codes, co_signs=co_signs)
    assert text == "" if says is None else says in text
