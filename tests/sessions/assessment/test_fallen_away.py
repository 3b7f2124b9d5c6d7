"""A facility closed for good, a practitioner who left: what is booked there says so."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from clients.preference.domain.terms import PreferenceScope
from practice.clock import clock
from practice.core.terms import Credential, Gender, Mode, Role
from practice.jobs.services import run_due_jobs
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import body, book, key, local
from tests.sessions.people import open_client, prefers, tell

pytestmark = pytest.mark.django_db
FLAGS = ("flagged", "mode", "planned_mode", "hands_on", "widest_mode", "widest_hands_on")
STOOD = (*FLAGS, "flag_reasons", "narrowed", "closed", "flagged_at")


@pytest.fixture
def built() -> Built:
    return build_practice()


def change(built: Built, path: str, **values: Any) -> dict[str, str]:
    """The warnings by code of what the owner changed, once due work is done."""
    shown = ok(built.api(Role.OWNER).change(path, values))
    run_due_jobs()
    return {one["code"]: one["text"] for one in shown["warnings"]}


def east(built: Built, **values: Any) -> dict[str, str]:
    return change(built, f"facilities/{built.east.pk}", **values)


def paula(built: Built, **values: Any) -> dict[str, str]:
    person = built.practitioners[Credential.PHYSICAL_THERAPIST]
    return change(built, f"practitioners/{person.pk}", **values)


def row(session: Any) -> Session:
    return Session.objects.get(pk=session["id"])


def stands(session: Any) -> dict[str, Any]:
    found = row(session)
    return {name: getattr(found, name) for name in STOOD}


def codes(session: Any) -> set[str]:
    return {one["code"] for one in row(session).flag_reasons}


def calls(built: Built, client: UUID) -> list[str]:
    shown = ok(built.api(Role.FRONT_DESK).get("call-list", {"client_id": str(client)}))
    return [one["text"] for one in shown["results"] if one["reason"] == "session_narrowed"]


def missing(built: Built, session: Any) -> list[str]:
    asked = {"facility_id": session["facility_id"], "day": session["local_date"]}
    shown = ok(built.api(Role.FRONT_DESK).get("day-sheet", asked))
    found = next(one for one in shown["sessions"] if one["id"] == session["id"])
    told = found.get("missing", [])
    assert all(code in shown["texts"] for code in told)
    return list(told)


def alone(built: Built, client: UUID, at: str) -> dict[str, Any]:
    """A session that is planned without anything by hand."""
    return book(built, client, at, requested_mode="self_directed")


def test_a_facility_closed_for_good_warns_and_its_sessions_say_so_to_the_desk(
    built: Built,
) -> None:
    client = open_client(built)
    by_hand, by_word = book(built, client, local(3)), alone(built, client, local(4))
    over = book(built, client, local(-2), attendance="attended")
    told = east(built, is_active=False)
    assert told["sessions_at_closed_facility"].startswith("2 booked sessions here are upcoming")
    for one in (by_hand, by_word):
        assert (row(one).flagged, row(one).mode) == (True, "not_today")
        assert "facility.closed" in codes(one)
        assert "facility_closed_for_good" in missing(built, one)
    assert not row(over).flagged, "what took place is judged as it was"
    assert [text.partition(" cannot be held: ")[2] for text in calls(built, client)] == [
        "East is closed for good. Move it to another facility, or call it off."
    ] * 2
    flags = [row(one).version for one in (by_hand, by_word)]
    assert "sessions_at_closed_facility" not in east(built, name="E"), "said once, when it closes"
    assert [row(one).version for one in (by_hand, by_word)] == flags, "and flagged once"


def test_a_facility_without_sessions_to_come_closes_without_a_warning(built: Built) -> None:
    book(built, open_client(built), local(-2), attendance="attended")
    assert "sessions_at_closed_facility" not in east(built, is_active=False)


def test_what_is_put_back_leaves_the_sessions_as_they_stood(built: Built) -> None:
    client = open_client(built)
    sessions = book(built, client, local(3)), alone(built, client, local(4))
    before = [stands(one) for one in sessions]
    east(built, is_active=False)
    assert all(row(one).flagged for one in sessions)
    east(built, is_active=True)
    assert [stands(one) for one in sessions] == before
    assert calls(built, client) == []


def test_a_flag_that_stood_before_stands_again_with_its_own_reasons(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    tell(built, client, prefers(Gender.MAN, PreferenceScope.HANDS_ON_ONLY))
    before = stands(session)
    assert codes(session) == {"preference.hands_on"}
    east(built, is_active=False)
    assert {"facility.closed", "preference.hands_on"} <= codes(session)
    east(built, is_active=True)
    after = stands(session)
    assert after.pop("flagged_at") > before.pop("flagged_at")
    assert after == before


def test_what_narrowed_while_it_was_closed_stays(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    east(built, is_active=False)
    tell(built, client, prefers(Gender.MAN, PreferenceScope.HANDS_ON_ONLY))
    assert {"facility.closed", "preference.hands_on"} <= codes(session)
    east(built, is_active=True)
    assert (row(session).flagged, codes(session)) == (True, {"preference.hands_on"})


def test_of_two_facts_the_one_that_is_still_so_is_told(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    east(built, is_active=False)
    paula(built, is_active=False)
    assert {"facility.closed", "practitioner.left"} <= codes(session)
    east(built, is_active=True)
    assert codes(session) & {"facility.closed", "practitioner.left"} == {"practitioner.left"}
    assert "Paula has left the practice. Book another practitioner." in calls(built, client)[0]


def test_who_left_is_named_for_self_directed_sessions_too(built: Built) -> None:
    client = open_client(built)
    by_hand, by_word = book(built, client, local(3)), alone(built, client, local(4))
    told = paula(built, is_active=False)
    assert told["upcoming_sessions"].startswith("2 booked sessions with Paula are upcoming")
    for one in (by_hand, by_word):
        assert (row(one).flagged, row(one).mode) == (True, "not_today")
        assert "practitioner_left" in missing(built, one)
    assert all("Paula has left the practice." in text for text in calls(built, client))
    paula(built, is_active=True)
    assert not any(row(one).flagged for one in (by_hand, by_word))


def test_who_does_not_work_there_any_more_is_named_and_only_there(built: Built) -> None:
    built.staff[Role.FRONT_DESK].facilities.add(built.west)
    client = open_client(built, built.east, built.west)
    here = alone(built, client, local(3))
    there = book(built, client, local(4), facility_id=str(built.west.pk))
    told = paula(built, facilities=[str(built.west.pk)], working_hours=[])
    assert set(told) == {"sessions_where_they_left"}
    text = told["sessions_where_they_left"]
    assert text.startswith("1 booked sessions with Paula at East are upcoming")
    assert "practitioner.elsewhere" in codes(here)
    assert not row(there).flagged
    assert "practitioner_elsewhere" in missing(built, here)
    assert "Paula does not work at East any more." in calls(built, client)[0]
    both = [str(built.east.pk), str(built.west.pk)]
    assert paula(built, facilities=both) == {}
    assert not row(here).flagged


def test_a_session_that_is_moved_away_is_as_it_was_planned(built: Built) -> None:
    client = open_client(built, built.east, built.west)
    session = book(built, client, local(3))
    paula(built, is_active=False)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    asked = {"practitioner_id": str(marco.pk), "reason": "Paula left."}
    path = f"sessions/{session['id']}/move"
    moved = ok(built.api(Role.FRONT_DESK).post(path, asked, key=key(), match=row(session).version))
    assert (moved["mode"], moved["flagged"]) == ("hands_on", False)
    assert calls(built, client) == []


def test_a_room_out_of_use_warns_with_the_count(built: Built) -> None:
    client, room = open_client(built), built.rooms["East 1"]
    in_room = book(built, client, local(3), room_id=str(room.pk))
    elsewhere = book(built, client, local(4))
    path = f"rooms/{room.pk}"
    assert change(built, path, name="One") == {}
    told = change(built, path, is_active=False)
    assert set(told) == {"sessions_in_room"}
    assert told["sessions_in_room"].startswith("1 booked sessions in One are upcoming")
    assert f"GET /sessions?room_id={room.pk}&status=booked" in told["sessions_in_room"]
    query = {"room_id": str(room.pk), "status": "booked"}
    listed = ok(built.api(Role.FRONT_DESK).get("sessions", query))["results"]
    assert [one["id"] for one in listed] == [in_room["id"]]
    assert "room_out_of_use" in missing(built, in_room)
    assert "room_out_of_use" not in missing(built, elsewhere)
    change(built, path, is_active=True)
    assert "room_out_of_use" not in missing(built, in_room)
    other = built.rooms["East 2"]
    assert change(built, f"rooms/{other.pk}", is_active=False) == {}


def test_what_may_be_done_there_with_them_says_so_too(built: Built) -> None:
    client = open_client(built)
    asked = body(built, client, local(3))
    query = {name: asked[name] for name in ("practitioner_id", "facility_id")}
    east(built, is_active=False)
    shown = ok(built.api(Role.FRONT_DESK).get(f"clients/{client}/permissions", query))
    assert shown["mode"] == Mode.NOT_TODAY
    assert "The facility is closed for good" in str(shown)


def test_where_someone_works_is_asked_as_it_was_known(built: Built) -> None:
    person, place = built.practitioners[Credential.PHYSICAL_THERAPIST], built.east
    before = clock.now()
    assert PracticeRows(before).works_at(person.pk, place.pk), "nothing was changed since"
    paula(built, facilities=[str(built.west.pk)], working_hours=[])
    after = clock.now()
    found = [PracticeRows(at).works_at(person.pk, place.pk) for at in (before, after, None)]
    assert found == [True, False, False]
