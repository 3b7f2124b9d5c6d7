"""A fact counts from its own date, however late it is reported (ruling 47); birthdays (56)."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.identity.domain.dates import birthday
from practice.clock import clock
from practice.core.terms import Region, Role, Technique
from sessions.calendar.models import Session
from tests.builders import Api, Built, build_practice, ok
from tests.sessions.booking.http import book, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def client(built: Built) -> UUID:
    return open_client(built)


def ahead(days: int) -> str:
    return (date.fromisoformat(local(0)[:10]) + timedelta(days=days)).isoformat()


def signed(built: Built, client: UUID) -> Device:
    """Yesterday's session, its note signed with a line by hand."""
    phone = Device(built, took_place(built, client)["id"])
    phone.save(**whole_note(lines=[line()]))
    assert ok(phone.sign(), 201)["outside"] == []
    return phone


def outside(phone: Device) -> list[Any]:
    found: list[Any] = ok(phone.api.get(phone.path))["signed"]["outside"]
    return found


def report(built: Built, client: UUID, **content: Any) -> None:
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/health-history", content), 201)


def review(api: Api, client: UUID, **content: Any) -> dict[str, Any]:
    path = f"clients/{client}/health-history"
    version = ok(api.get(path))["version"]
    whole = {"neck": "none", "clearance_need": "not_needed", **content}
    reviewed: dict[str, Any] = ok(api.post(f"{path}/review", whole, match=version))
    return reviewed


LEFT = [{"region": "shoulder", "side": "left"}, {"region": "chest", "side": "left"}]


def fact(kind: str, on: str) -> dict[str, Any]:
    """Something that closes yesterday's line, of a day."""
    found: dict[str, dict[str, Any]] = {
        "operation": {"operations": [{"kind": "mastectomy", "side": "left", "on": on}]},
        "clot": {"conditions": [{"kind": "clot", "since": on}]},
        "radiation": {"radiations": [{"sites": LEFT, "from_date": on}]},
    }
    return found[kind]


@pytest.mark.parametrize("kind", ["operation", "clot", "radiation"])
@pytest.mark.parametrize(("days", "marked"), [(-1, True), (0, False)])
def test_what_is_reported_late_marks_notes_from_its_own_day(
    built: Built, client: UUID, kind: str, days: int, marked: bool
) -> None:
    phone = signed(built, client)
    report(built, client, **fact(kind, ahead(days)))
    assert bool(outside(phone)) is marked
    if marked:
        assert outside(phone)[0]["known_later"] is True
        assert outside(phone)[0]["cause"] == "history.reported"


def test_a_review_without_a_date_of_its_own_marks_by_the_date_of_the_operation(
    built: Built, client: UUID
) -> None:
    phone = signed(built, client)
    therapist = built.api(Role.PRACTITIONER)
    healed = {"incision_healed": True, "drains_out": True, "expander_in": False}
    operation = {"kind": "mastectomy", "side": "left", "on": ahead(-1)}
    shown = review(therapist, client, operations=[operation])
    assert len(outside(phone)) == 1
    # How it heals is no new fact: nothing is marked again, nothing is lost.
    [known] = shown["reviewed"]["operations"]
    review(therapist, client, operations=[{**known, **healed}])
    assert len(outside(phone)) == 1


@pytest.mark.parametrize(("days", "marked"), [(-1, True), (0, False)])
def test_a_restriction_marks_notes_from_the_day_from_which_it_restricts(
    built: Built, client: UUID, days: int, marked: bool
) -> None:
    phone = signed(built, client)
    paper = {
        "kind": "restriction",
        "prescriber": "surgeon",
        "prescriber_name": "Dr. Amara Whitfield",
        "given_on": ahead(0),
        "from_date": ahead(days),
    }
    ok(built.api(Role.PRACTITIONER).post(f"clients/{client}/orders", paper), 201)
    assert bool(outside(phone)) is marked


def test_a_restriction_of_today_reaches_the_work_of_this_morning(built: Built) -> None:
    noon = clock.now().replace(hour=20, minute=0)
    with clock.at(noon):
        client = open_client(built)
        given = {
            "attendance": "attended",
            "answers": {
                "hands_on_today": "yes",
                "pain_now": 1,
                "feverish": False,
                "swelling": [],
                "new_symptoms": [],
                "fatigue": 2,
            },
        }
        phone = Device(built, book(built, client, local(0, 9), **given)["id"])
        phone.save(**whole_note(lines=[line()]))
        ok(phone.sign(), 201)
        paper = {
            "kind": "restriction",
            "prescriber": "physician",
            "prescriber_name": "Dr. Amara Whitfield",
            "given_on": ahead(0),
        }
        ok(phone.api.post(f"clients/{client}/orders", paper), 201)
        assert len(outside(phone)) == 1


def test_of_a_month_notes_are_marked_from_its_first_day(built: Built, client: UUID) -> None:
    phone = signed(built, client)
    month = ahead(-1)[:7]
    report(built, client, **fact("operation", month))
    assert len(outside(phone)) == 1
    therapist = built.api(Role.PRACTITIONER)
    shown = ok(therapist.get(f"clients/{client}/health-history"))["reports"]
    assert shown[0]["content"]["operations"][0]["on"] == month


def test_a_planned_operation_flags_its_day_and_later_sessions_also_when_it_moves(
    built: Built, client: UUID
) -> None:
    before, on, after = (book(built, client, local(days)) for days in (5, 10, 12))
    earlier = book(built, client, local(7))
    therapist = built.api(Role.PRACTITIONER)

    def flagged() -> set[str]:
        return {str(key) for key in Session.objects.filter(flagged=True).values_list(flat=True)}

    planned = {"kind": "mastectomy", "side": "left", "on": ahead(10)}
    path = f"clients/{client}/health-history"
    refused = built.api(Role.FRONT_DESK).post(path, {"operations": [planned]})
    assert refused.status_code == 400
    assert "planned" in str(refused.json()["errors"])
    shown = review(therapist, client, operations=[{**planned, "planned": True}])
    assert flagged() == {on["id"], after["id"]}
    [known] = shown["reviewed"]["operations"]
    assert (known["planned"], known["on"]) == (True, ahead(10))
    review(therapist, client, operations=[{**known, "on": ahead(6)}])
    assert flagged() == {earlier["id"], on["id"], after["id"]}
    assert before["id"] not in flagged()
    codes = {one["code"] for one in Session.objects.get(pk=earlier["id"]).flag_reasons}
    assert "surgery.planned" in codes


def test_a_guardians_consent_ends_on_the_birthday_and_later_sessions_are_flagged(
    built: Built, client: UUID
) -> None:
    """Ruling 56: the age of the session's day, also when the birth date is put right."""
    today = date.fromisoformat(local(0)[:10])
    owner, desk = built.api(Role.OWNER), built.api(Role.FRONT_DESK)
    turns = birthday(today + timedelta(days=10), -18)

    def put_right(born: date) -> None:
        version = ok(owner.get(f"clients/{client}"))["version"]
        sent = {"birth_date": born.isoformat()}
        ok(owner.patch(f"clients/{client}", sent, match=version))

    before, on = book(built, client, local(9)), book(built, client, local(10))
    put_right(turns)  # What the client signed alone, a month ago, grants nothing.
    rows = Session.objects.filter(client_id=client)
    assert {row.flagged for row in rows} == {True}
    signature = {
        "regions": [{"region": region, "side": "both"} for region in Region],
        "techniques": list(Technique),
        "form": "typed_signature",
        "typed_name": "Mina Okafor",
        "language": "en",
        "signer": "guardian",
        "guardian_name": "Mina Okafor",
        "guardian_relation": "mother",
    }
    given = ok(desk.post(f"clients/{client}/touch-consent", signature), 201)
    assert given["until"] == (today + timedelta(days=9)).isoformat()
    for one, mode in ((before, "hands_on"), (on, "self_directed")):
        sent = {"requested_mode": "hands_on", "reason": "A guardian consented."}
        moved = desk.post(f"sessions/{one['id']}/move", sent)
        if mode == "hands_on":
            assert ok(moved)["planned_mode"] == "hands_on"
        else:
            codes = str(moved.json())
            assert "consent.guardian_ended" in codes
    # The birthday was wrong by five days: the session in between is after it now.
    put_right(birthday(today + timedelta(days=8), -18))
    row = Session.objects.get(pk=before["id"])
    assert row.flagged
    assert "consent.guardian_ended" in {one["code"] for one in row.flag_reasons}


def test_an_older_review_entered_late_narrows_and_is_not_lost(built: Built, client: UUID) -> None:
    """What narrows takes effect at its entry, whatever time it is said to have happened."""
    therapist = built.api(Role.PRACTITIONER)
    booked = book(built, client, local(3))
    review(therapist, client)
    ago = (clock.now() - timedelta(days=2)).isoformat()
    clot = [{"id": str(uuid4()), "kind": "clot", "since": ahead(-2)}]
    shown = review(therapist, client, conditions=clot, occurred_at=ago)
    assert shown["reviewed"]["conditions"] == []
    assert [one["content"]["conditions"][0]["kind"] for one in shown["reports"]] == ["clot"]
    assert Session.objects.get(pk=booked["id"]).flagged
    assert review(therapist, client)["reports"] == []
