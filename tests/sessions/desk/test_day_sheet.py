"""The day sheet over HTTP: a whole day in one answer of few bytes, and on paper."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.reminders.models import Reminder
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.services import run_due_jobs
from tests.billing.practice_rows import payer
from tests.builders import Api, Built, at, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, local
from tests.sessions.people import consent, open_client, registered, reminder_of, reviewed, tell
from tests.sessions.stretches.stories import discharged

pytestmark = pytest.mark.django_db
MORNING = at("2026-03-09T07:10:00-04:00")
KIB = 1024


@pytest.fixture
def built() -> Iterator[Built]:
    """On a Monday morning; one token for each, since the clock stands still."""
    with clock.at(MORNING):
        practice = build_practice()
        practice.api = cache(practice.api)  # type: ignore[method-assign]
        yield practice


def named(built: Built, client_id: UUID, family: str, given: str = "Rosa") -> UUID:
    details = ClientDetails(
        given_name=given,
        family_name=family,
        phone="+12155550100",
        zone=built.east.zone,
        facility_ids=(built.east.pk,),
    )
    tell(built, client_id, ClientDetailsChanged(details=details))
    return client_id


def sheet(api: Api, built: Built, **query: str) -> dict[str, Any]:
    asked = query or {"facility_id": str(built.east.pk)}
    shown: dict[str, Any] = ok(api.get("day-sheet", asked))
    return shown


def paula(built: Built) -> str:
    return str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)


def a_day(built: Built, days: int = 0) -> list[UUID]:
    """Ten sessions with two practitioners; of a third of the clients something is missing."""
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    found = []
    for number in range(10):
        family = ("Lindholm", "Okafor", "Marsh", "Vandermeer", "Abrams")[number % 5]
        whole = number % 3
        client = named(built, open_client(built) if whole else registered(built), family)
        more = {"practitioner_id": olga} if number % 2 else {}
        room = str(built.rooms["East 2" if number % 2 else "East 1"].pk)
        book(built, client, local(days, 8 + number // 2), room_id=room, **more)
        found.append(client)
    return found


def test_a_session_outside_the_opening_hours_says_so(built: Built) -> None:
    inside = book(built, open_client(built), local(0, 11))
    hours = [{"weekday": 1, "opens": "11:00", "closes": "18:00"}]
    ok(built.api(Role.OWNER).change(f"facilities/{built.east.pk}", {"opening_hours": hours}))
    outside = book(built, open_client(built), local(0, 10))
    shown = sheet(built.api(Role.FRONT_DESK), built)
    missing = {one["id"]: one.get("missing", []) for one in shown["sessions"]}
    assert "outside_opening_hours" in missing[outside["id"]]
    assert "outside_opening_hours" not in missing[inside["id"]], "the whole hour is within"
    assert "see that it opens" in shown["texts"]["outside_opening_hours"]


def test_ten_sessions_take_two_kilobytes(built: Built) -> None:
    a_day(built)
    answer = built.api(Role.FRONT_DESK).get("day-sheet", {"facility_id": str(built.east.pk)})
    shown = ok(answer)
    assert len(shown["sessions"]) == 10
    assert {"con", "hist"} <= set(shown["texts"])
    assert len(answer.content) <= 2 * KIB, answer.content
    each = len(json.dumps(shown["sessions"], separators=(",", ":"))) / 10
    assert each <= 200


def test_the_statements_are_as_many_for_one_session_as_for_ten(built: Built) -> None:
    a_day(built)
    payer()
    book(built, registered(built), local(1, 9), room_id=str(built.rooms["East 1"].pk))
    desk, here = built.api(Role.FRONT_DESK), str(built.east.pk)
    counts = []
    for days in (0, 1, 0, 1):
        with CaptureQueriesContext(connection) as heard:
            sheet(desk, built, facility_id=here, day=local(days)[:10])
        counts.append(len(heard))
    assert counts[2] == counts[3]
    assert counts[2] <= 22
    assert counts[2] > 12  # It does ask for each kind of paper.


def test_a_line_says_when_who_with_whom_where_and_how_much_by_hand(built: Built) -> None:
    client = named(built, open_client(built), "Lindholm")
    session = book(built, client, local(0, 9, 30), room_id=str(built.rooms["East 1"].pk))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"sessions/{session['id']}/confirmation", {"how": "phone"}))
    shown = sheet(desk, built)
    assert shown["sessions"] == [
        {
            "id": session["id"],
            "at": "09:30",
            "client": "Rosa Lindholm",
            "phone": "+12155550100",
            "with": "p1",
            "room": "East 1",
            "hands_on": "all",
            "confirmed": True,
        }
    ]
    assert shown["people"] == {"p1": "Paula"}
    assert shown["places"] == {}
    assert (shown["day"], shown["zone"]) == ("2026-03-09", "America/New_York")
    assert shown["headline"] == "All hands-on 1."


def test_what_is_missing_is_named_by_kind_with_whom_to_ask(built: Built) -> None:
    client = named(built, registered(built), "Lindholm")
    book(built, client, local(1))
    desk, tomorrow = built.api(Role.FRONT_DESK), local(1)[:10]
    here = str(built.east.pk)
    (line,) = (shown := sheet(desk, built, facility_id=here, day=tomorrow))["sessions"]
    assert (line["hands_on"], line["missing"]) == ("nothing", ["con", "hist"])
    assert shown["texts"] == {
        "con": "No touch consent covers it: ask the client.",
        "hist": "No health history: ask the client.",
    }
    with clock.at(MORNING + timedelta(minutes=5)):
        tell(built, client, consent(), reviewed())
        (line,) = sheet(desk, built, facility_id=here, day=tomorrow)["sessions"]
        assert (line["hands_on"], line["missing"]) == ("nothing", ["anew"])


def test_a_withdrawal_shows_at_once(built: Built) -> None:
    """Ruling 46."""
    client = named(built, open_client(built), "Lindholm")
    book(built, client, local(0, 15))
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/touch-consent/withdrawal", {}))
    (line,) = sheet(built.api(Role.FRONT_DESK), built)["sessions"]
    assert (line["hands_on"], line["missing"]) == ("nothing", ["con"])


def test_a_red_flag_fetches_the_practitioner_and_tells_the_desk_no_more(built: Built) -> None:
    """Ruling 20: of health the desk sees that something stands, not what."""
    client = named(built, open_client(built), "Lindholm")
    session = book(built, client, local(0, 8))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"sessions/{session['id']}/arrival", {**WELL, "new_symptoms": ["chest_pain"]}))
    answer = desk.get("day-sheet", {"facility_id": str(built.east.pk)})
    (line,) = ok(answer)["sessions"]
    assert (line["hands_on"], line["status"]) == ("fetch", "arrived")
    assert ok(answer)["headline"].startswith("Fetch the practitioner 1.")
    assert "chest" not in answer.content.decode().lower()


def test_a_later_session_of_that_day_fetches_the_practitioner_too(built: Built) -> None:
    """Ruling 49: a flag outlives the session in which it was said."""
    client = named(built, open_client(built), "Lindholm")
    first = book(built, client, local(0, 8))
    book(built, client, local(0, 15))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"sessions/{first['id']}/arrival", {**WELL, "new_symptoms": ["chest_pain"]}))
    assert [one["hands_on"] for one in sheet(desk, built)["sessions"]] == ["fetch", "fetch"]


def test_an_unsigned_note_and_an_unsent_reminder_are_on_it(built: Built) -> None:
    client = named(built, open_client(built), "Lindholm")
    discharged(built, client, days=70)
    run_due_jobs()
    book(built, client, local(0, 16))
    desk = built.api(Role.FRONT_DESK)
    (line,) = sheet(desk, built)["sessions"]
    assert "missing" not in line
    earlier = book(built, client, local(-1), attendance="attended", answers=WELL)
    assert earlier["status"] == "arrived"
    recheck = ok(desk.get("rechecks", {"client_id": str(client)}))["results"][0]
    row = reminder_of(client, UUID(recheck["id"]), "waiting")
    (line,) = sheet(desk, built)["sessions"]
    assert line["missing"] == ["note"]
    Reminder.objects.filter(pk=row.pk).update(status="refused")
    shown = sheet(desk, built)
    assert shown["sessions"][0]["missing"] == ["note", "mail"]
    assert "tell the client" in shown["texts"]["mail"]


def test_sessions_that_were_called_off_are_left_out_and_others_say_where_they_stand(
    built: Built,
) -> None:
    desk = built.api(Role.FRONT_DESK)
    off, missed = (
        book(built, named(built, open_client(built), name), local(0, hour))
        for name, hour in (("Abrams", 8), ("Marsh", 9))
    )
    ok(desk.post(f"sessions/{off['id']}/cancellation", {"by": "client", "reason": "a cold"}))
    with clock.at(at("2026-03-09T09:30:00-04:00")):
        ok(built.api(Role.FRONT_DESK).post(f"sessions/{missed['id']}/no-show", {}))
        shown = sheet(built.api(Role.FRONT_DESK), built)
    assert [(one["client"], one["status"]) for one in shown["sessions"]] == [
        ("Rosa Marsh", "no_show")
    ]
    assert "hands_on" not in shown["sessions"][0]
    assert shown["headline"] == "No session is still to come."


def test_a_practitioner_alone_is_shown_at_every_place_on_its_own_clock(built: Built) -> None:
    client = open_client(built, built.east, built.west)
    named_places = str(built.west.pk)
    owner = built.api(Role.OWNER)
    body = {
        "client_id": str(client),
        "practitioner_id": paula(built),
        "facility_id": named_places,
        "starts_at": {"local": "2026-03-09T15:00"},
        "minutes": 60,
    }
    ok(owner.post("sessions", body, key="west"), 201)
    book(built, client, local(0, 9))
    shown = sheet(owner, built, practitioner_id=paula(built))
    assert [(one["at"], one["place"]) for one in shown["sessions"]] == [
        ("09:00", "f1"),
        ("15:00", "f2"),
    ]
    assert shown["places"] == {"f1": "East", "f2": "West"}
    desk = sheet(built.api(Role.FRONT_DESK), built, practitioner_id=paula(built))
    assert desk["places"] == {"f1": "East"}


def test_who_may_not_see_a_place_learns_nothing_of_it(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    refused(desk.get("day-sheet", {"facility_id": str(built.west.pk)}), 404, "not_found")
    answer = desk.get("day-sheet")
    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["errors"]] == ["facility_id"]


def test_the_last_minute_of_a_local_day_belongs_to_it(built: Built) -> None:
    client = named(built, open_client(built), "Lindholm")
    book(built, client, local(0, 23, 30))
    desk, here = built.api(Role.FRONT_DESK), str(built.east.pk)
    assert len(sheet(desk, built, facility_id=here, day="2026-03-09")["sessions"]) == 1
    assert sheet(desk, built, facility_id=here, day="2026-03-10")["sessions"] == []


def test_everyone_on_it_counts_as_read(built: Built) -> None:
    """Ruling 62."""
    clients = a_day(built)
    AccessEntry.objects.all().delete()
    sheet(built.api(Role.FRONT_DESK), built)
    read = AccessEntry.objects.filter(what="day sheet", outcome="read")
    assert set(read.values_list("client_id", flat=True)) == set(clients)


def test_the_page_says_in_words_what_the_answer_says_by_codes(built: Built) -> None:
    client = named(built, registered(built), "O'Neill & Sons")
    book(built, client, local(0, 9, 30))
    desk = built.api(Role.FRONT_DESK)
    answer = desk.get("day-sheet/printout", {"facility_id": str(built.east.pk)})
    page = answer.content.decode()
    assert answer.headers["Content-Type"].startswith("text/html")
    assert "09:30" in page
    assert "O&#x27;Neill &amp; Sons" in page
    assert "No touch consent covers it: ask the client." in page
    assert "Nothing is hands-on." in page
    assert "Printed on 9 March 2026 at 07:10" in page
