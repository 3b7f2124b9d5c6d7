"""Closures and absences over HTTP: recorded, asked by every booking, lifted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from practice.clock import clock
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.policy.models import SettingChange
from practice.policy.row_seals import row_faults
from sessions.booking.domain.hours import check_not_closed
from sessions.calendar.domain.exceptions import closed_on
from sessions.calendar.models import Session
from tests.builders import Built, ok, refused, seal_practice, version_of
from tests.sessions.absences.http import (
    DAY,
    TEN,
    absent,
    booked,
    close,
    closed,
    marco,
    met,
    olga,
    paula,
    recorded,
)
from tests.sessions.booking.http import body, book, key
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, book_series, held_practice, start
from tests.sessions.waiting_list.http import waits, who_fits

pytestmark = pytest.mark.django_db
AFTER = start("2026-03-18", "10:00")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def ask(built: Built, starts_at: str, **changes: Any) -> Any:
    sent = body(built, open_client(built), starts_at, **changes)
    return built.api(Role.FRONT_DESK).post("sessions", sent, key=key())


def offered(built: Built, who: str, day: str = DAY) -> dict[str, Any]:
    query = {
        "client_id": str(open_client(built)),
        "practitioner_id": who,
        "facility_id": str(built.east.pk),
        "from": day,
        "to": day,
        "minutes": "60",
    }
    found: dict[str, Any] = ok(built.api(Role.FRONT_DESK).get("open-times", query))
    return found


def test_who_is_absent_is_neither_offered_nor_booked_and_colleagues_are(built: Built) -> None:
    assert offered(built, paula(built))["results"]
    recorded(built)
    gone = offered(built, paula(built))
    assert gone["results"] == []
    (told,) = [one for one in gone["excluded"] if one["practitioner_id"] == paula(built)]
    assert told["reasons"][0]["text"] == "The practitioner is absent on 2026-03-17."
    problem = refused(ask(built, TEN), 409, "closed_then")
    assert "The practitioner is absent on 2026-03-17." in problem["detail"]
    assert offered(built, olga(built))["results"]
    ok(ask(built, TEN, practitioner_id=olga(built)), 201)
    ok(ask(built, AFTER), 201)


def test_of_what_kind_an_absence_is_stands_in_no_refusal(built: Built) -> None:
    recorded(built, kind="ill", note="Back on Thursday.")
    told = refused(ask(built, TEN), 409, "closed_then")
    assert "ill" not in told["detail"].lower().split()
    assert "Thursday" not in told["detail"]


def test_a_reason_overrules_an_absence_and_is_kept_and_shown(built: Built) -> None:
    absence = recorded(built)
    made = ok(ask(built, TEN, overrule="Comes in for this one."), 201)
    assert made["overruled"] == "Comes in for this one."
    told = {one["code"]: one["text"] for one in made["warnings"]}
    assert told["overruled"] == "Booked all the same: Comes in for this one."
    assert "practitioner_absent" in told
    again = ok(built.api(Role.FRONT_DESK).get(f"sessions/{made['id']}"))
    assert {one["code"] for one in again["warnings"]} >= {"overruled", "practitioner_absent"}
    assert met(built, absence) == []


def test_the_day_sheet_says_that_who_is_to_come_is_recorded_absent(built: Built) -> None:
    """Overruled onto the absent day: it stands on the sheet, and someone sees that they come."""
    recorded(built)
    made = ok(ask(built, TEN, overrule="Comes in for this one."), 201)
    asked = {"facility_id": str(built.east.pk), "day": made["local_date"]}
    shown = ok(built.api(Role.FRONT_DESK).get("day-sheet", asked))
    (line,) = shown["sessions"]
    assert "absent_overruled" in line["missing"]
    assert "practitioner_absent" not in line["missing"]
    assert "recorded absent" in shown["texts"]["absent_overruled"]
    assert shown["headline"].startswith("All hands-on 1.")


def test_what_is_not_closed_keeps_no_reason_to_overrule(built: Built) -> None:
    made = ok(ask(built, TEN, overrule="Just in case."), 201)
    assert made["overruled"] == ""
    assert made["warnings"] == []


@pytest.mark.parametrize("blank", ["", "   "])
def test_a_blank_overrules_nothing(built: Built, blank: str) -> None:
    shut = (closed_on(date(2026, 3, 17)),)
    check_not_closed((), blank)
    check_not_closed(shut, "The only day they can come.")
    with pytest.raises(Rejected, match="closed on 2026-03-17"):
        check_not_closed(shut, blank)
    recorded(built)
    assert ask(built, TEN, overrule=blank).status_code in (400, 409)
    assert not Session.objects.exists()


def test_a_move_into_an_absence_is_refused_and_may_be_overruled(built: Built) -> None:
    recorded(built)
    session = book(built, open_client(built), AFTER)["id"]
    desk, sent = built.api(Role.FRONT_DESK), {"starts_at": TEN, "reason": "Asked for it."}
    refused(desk.post(f"sessions/{session}/move", sent, key=key()), 409, "closed_then")
    sent["overrule"] = "Comes in for this one."
    moved = ok(desk.post(f"sessions/{session}/move", sent, key=key()))
    assert moved["overruled"] == "Comes in for this one."
    back = {"starts_at": AFTER, "reason": "Not needed any more."}
    again = ok(desk.post(f"sessions/{session}/move", back, key=key()))
    assert again["overruled"] == ""


def test_what_stands_in_an_absence_may_change_its_room_where_it_is(built: Built) -> None:
    """Who is absent was known when it was booked, or came since: a room is no new time."""
    session = booked(built, open_client(built))
    recorded(built)
    sent = {"room_id": str(built.rooms["East 1"].pk), "reason": "The other room is painted."}
    moved = ok(built.api(Role.FRONT_DESK).post(f"sessions/{session}/move", sent, key=key()))
    assert moved["room_name"] == "East 1"
    assert moved["overruled"] == ""


def test_a_closed_facility_is_neither_offered_nor_booked(built: Built) -> None:
    closed(built)
    gone = offered(built, paula(built))
    assert gone["results"] == []
    problem = refused(ask(built, TEN), 409, "closed_then")
    assert problem["reasons"][0]["text"] == "The facility is closed on 2026-03-17: Snow."
    ok(ask(built, AFTER), 201)


def test_a_closure_of_part_of_a_day_leaves_the_rest(built: Built) -> None:
    closed(
        built,
        first_day=None,
        starts_at={"local": "2026-03-17T12:00"},
        ends_at={"local": "2026-03-17T14:00"},
    )
    refused(ask(built, start(DAY, "11:30")), 409, "closed_then")
    refused(ask(built, start(DAY, "13:30")), 409, "closed_then")
    ok(ask(built, start(DAY, "11:00")), 201)
    ok(ask(built, start(DAY, "14:00")), 201)


def test_a_series_says_which_day_is_closed_and_books_the_others(built: Built) -> None:
    closed(built, first_day="2026-03-19")
    made = book_series(built, open_client(built))
    results = [(one["starts_at"][:10], one["result"]) for one in made["occurrences"]]
    assert results == [
        ("2026-03-17", "booked"),
        ("2026-03-19", "refused"),
        ("2026-03-24", "booked"),
        ("2026-03-26", "booked"),
    ]
    refusal = made["occurrences"][1]["refusal"]
    assert refusal["code"] == "closed_then"
    assert refusal["reasons"][0]["text"] == "The facility is closed on 2026-03-19: Snow."


def test_who_waits_is_not_offered_the_time_of_an_absent_practitioner(built: Built) -> None:
    waits(built, open_client(built))
    assert len(who_fits(built, TEN)["results"]) == 1
    recorded(built)
    assert who_fits(built, TEN)["results"] == []


def test_what_took_place_all_the_same_is_entered_late_with_a_warning(built: Built) -> None:
    closed(built, first_day="2026-03-05")
    made = ok(ask(built, "2026-03-05T10:00:00-05:00", attendance="no_show"), 201)
    assert "closed_for_a_time" in {one["code"] for one in made["warnings"]}


def test_once_it_is_lifted_everything_is_open_again(built: Built) -> None:
    row = recorded(built)
    booked_before = refused(ask(built, TEN), 409, "closed_then")
    assert booked_before["reasons"]
    desk = built.api(Role.FRONT_DESK)
    path = f"absences/{row['id']}"
    lifted = ok(desk.post(f"{path}/lifting", {"reason": "Back at work."}, match=row["revision"]))
    assert (lifted["lifted_reason"], lifted["lifted_by"]) == (
        "Back at work.",
        str(built.staff[Role.FRONT_DESK].pk),
    )
    ok(ask(built, TEN), 201)
    version = version_of(desk.get(path))
    again = desk.post(f"{path}/lifting", {"reason": "Twice."}, match=version)
    assert "Back at work." in refused(again, 409, "lifted_already")["detail"]
    stale = desk.post(f"{path}/lifting", {"reason": "Twice."}, match=row["revision"])
    refused(stale, 412, "stale_version")


def test_every_change_stands_in_the_history_and_is_sealed(built: Built) -> None:
    seal_practice()
    row = recorded(built)
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"absences/{row['id']}/lifting", {"reason": "Back."}, match=row["revision"]))
    kept = list(SettingChange.objects.filter(row_id=row["id"]).order_by("id"))
    assert [one.before is None for one in kept] == [True, False]
    assert kept[1].after is not None
    assert kept[1].after["lifted_reason"] == "Back."
    assert list(row_faults()) == []


def test_the_same_time_twice_is_said_to_be_on_record(built: Built) -> None:
    recorded(built)
    refused(absent(built), 409, "already_recorded")
    recorded(built, last_day="2026-03-18")
    closed(built)
    refused(close(built), 409, "already_recorded")


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"first_day": None}, "first_day"),
        ({"last_day": "2026-03-16"}, "last_day"),
        ({"starts_at": TEN, "ends_at": AFTER}, "first_day"),
        ({"first_day": None, "starts_at": TEN}, "ends_at"),
        ({"first_day": None, "starts_at": TEN, "ends_at": TEN}, "ends_at"),
        ({"first_day": None, "starts_at": AFTER, "ends_at": TEN}, "ends_at"),
    ],
)
def test_a_time_that_cannot_be_is_refused_with_its_field(
    built: Built, sent: dict[str, Any], field: str
) -> None:
    for answer in (absent(built, **sent), close(built, **sent)):
        assert answer.status_code == 400
        assert [one["field"] for one in answer.json()["errors"]] == [field]


def test_a_local_time_of_someone_on_two_clocks_needs_its_offset(built: Built) -> None:
    """Paula works in the east and in the west."""
    local: dict[str, Any] = {
        "starts_at": {"local": "2026-03-17T13:00"},
        "ends_at": {"local": "2026-03-17T15:00"},
    }
    refused(absent(built, first_day=None, **local), 400, "several_zones")
    ok(absent(built, first_day=None, practitioner_id=olga(built), **local), 201)


@pytest.mark.parametrize(
    ("local", "code"),
    [
        ("2026-03-08T02:30", "local_time_does_not_exist"),
        ("2026-11-01T01:30", "local_time_exists_twice"),
    ],
)
def test_a_typed_time_of_the_days_of_a_clock_change_is_asked_about(
    built: Built, local: str, code: str
) -> None:
    """Ruling 19: in the gap 400, in the fold 400 asking which."""
    sent: dict[str, Any] = {
        "first_day": None,
        "starts_at": {"local": local},
        "ends_at": "2026-12-01T08:00:00-05:00",
    }
    refused(close(built, **sent), 400, code)


def test_who_may_record_what(built: Built) -> None:
    """Desk and owner of facilities and people that they see, practitioners themselves."""
    own = ok(absent(built, Role.PRACTITIONER), 201)
    refused(absent(built, Role.PRACTITIONER, practitioner_id=marco(built)), 403, "not_your_own")
    assert close(built, Role.PRACTITIONER).status_code == 403
    assert close(built, facility_id=str(built.west.pk)).status_code == 404
    ok(close(built, Role.OWNER, facility_id=str(built.west.pk)), 201)
    other = recorded(built, practitioner_id=marco(built))
    listed = ok(built.api(Role.PRACTITIONER).get("absences"))["results"]
    assert [one["id"] for one in listed] == [own["id"]]
    assert built.api(Role.PRACTITIONER).get(f"absences/{other['id']}").status_code == 404
    assert len(ok(built.api(Role.FRONT_DESK).get("absences"))["results"]) == 2
