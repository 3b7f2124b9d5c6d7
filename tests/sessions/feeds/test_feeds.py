"""Calendar feeds, read back by the library that reads iCalendar (RFC 5545)."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from icalendar import Calendar

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.eventstore.models import StoredEvent
from practice.people_and_places.models.staff import Staff
from practice.policy.models import PracticeSetting, SettingChange
from sessions.feeds.calendar_file import FeedEntry, calendar_file, initials
from sessions.feeds.models import CalendarFeed
from tests.builders import Api, Built, ok, refused
from tests.sessions.booking.http import book, key, local
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


def made(built: Built, role: Role = Role.PRACTITIONER, **whose: Any) -> dict[str, Any]:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"label": "My phone", **(whose or {"practitioner_id": str(paula.pk)})}
    found: dict[str, Any] = ok(built.api(role).post("calendar-feeds", asked, key=key()), 201)
    return found


def events(feed: dict[str, Any]) -> list[Any]:
    answer = Api().get(feed["path"])
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return list(Calendar.from_ical(answer.content).walk("VEVENT"))


def setting(name: str, value: Any) -> None:
    PracticeSetting.objects.filter(group="feeds", key=name).update(value=value)


def test_a_feed_holds_the_practitioners_sessions_with_initials_and_nothing_else(
    built: Built,
) -> None:
    client_id = open_client(built)
    booked = book(built, client_id, local(2))
    book(
        built,
        open_client(built),
        local(2),
        practitioner_id=str(built.practitioners[Credential.MASSAGE_THERAPIST].pk),
    )
    (event,) = events(made(built))
    assert event["uid"] == booked["id"]
    assert event.decoded("dtstart") == datetime.fromisoformat(booked["starts_at"])
    assert event.decoded("dtend") == datetime.fromisoformat(booked["ends_at"])
    given, family = booked["client_name"].split()
    assert event["summary"] == f"Session · {given[0]}. {family[0]}."
    assert event["location"] == "East"
    text = event.to_ical().decode()
    assert family not in text
    assert not {word for word in ("stretch", "surgery", "cancer", "treat") if word in text.lower()}


@pytest.mark.parametrize(
    ("shown", "summary"), [("nothing", "Session"), ("name", "Session · {name}")]
)
def test_the_practice_says_what_a_feed_shows_of_the_client(
    built: Built, shown: str, summary: str
) -> None:
    setting("client_shown", shown)
    booked = book(built, open_client(built), local(2))
    (event,) = events(made(built))
    assert event["summary"] == summary.format(name=booked["client_name"])


def test_a_facilitys_feed_says_who_works(built: Built) -> None:
    booked = book(built, open_client(built), local(2))
    (event,) = events(made(built, Role.FRONT_DESK, facility_id=str(built.east.pk)))
    assert event["summary"].endswith(f"· {booked['practitioner_name']}")


def test_a_moved_session_keeps_its_uid_and_a_cancelled_one_is_gone(built: Built) -> None:
    session = book(built, open_client(built), local(2))
    feed = made(built)
    (before,) = events(feed)
    desk = built.api(Role.FRONT_DESK)
    moved = {"starts_at": local(3, 14), "reason": "asked for the afternoon"}
    ok(desk.post(f"sessions/{session['id']}/move", moved, key=key()))
    (after,) = events(feed)
    assert after["uid"] == before["uid"]
    assert after["sequence"] > before["sequence"]
    written = StoredEvent.objects.get(stream=session["client_id"], version=after["sequence"])
    assert after.decoded("dtstamp") == written.recorded_at.replace(microsecond=0)
    assert after.decoded("dtstart") == datetime.fromisoformat(local(3, 14))
    called_off = {"by": "client", "reason": "a cold"}
    ok(desk.post(f"sessions/{session['id']}/cancellation", called_off, key=key()))
    assert events(feed) == []


def test_a_feed_holds_the_days_of_its_settings(built: Built) -> None:
    setting("days_ahead", 7)
    setting("days_back", 0)
    inside = book(built, open_client(built), local(6))
    book(built, open_client(built), local(8))
    assert [one["uid"] for one in events(made(built))] == [inside["id"]]


def test_a_revoked_link_and_one_whose_maker_has_left_show_nothing(built: Built) -> None:
    first, second = made(built), made(built)
    api = built.api(Role.PRACTITIONER)
    assert api.delete(f"calendar-feeds/{first['id']}", key=key()).status_code == 204
    refused(Api().get(first["path"]), 404, "not_found")
    assert Api().get(second["path"]).status_code == 200
    shown = {one["id"]: one["is_revoked"] for one in ok(api.get("calendar-feeds"))["results"]}
    assert shown == {first["id"]: True, second["id"]: False}
    Staff.objects.filter(pk=built.staff[Role.PRACTITIONER].pk).update(is_active=False)
    refused(Api().get(second["path"]), 404, "not_found")


def test_a_maker_whose_role_sees_no_sessions_any_more_shows_nothing(built: Built) -> None:
    feed = made(built, Role.FRONT_DESK, facility_id=str(built.east.pk))
    Staff.objects.filter(pk=built.staff[Role.FRONT_DESK].pk).update(role=Role.BILLING)
    refused(Api().get(feed["path"]), 404, "not_found")


def test_a_feed_shows_only_what_its_maker_sees(built: Built) -> None:
    book(built, open_client(built), local(2))
    desk = built.staff[Role.FRONT_DESK]
    feed = made(built, Role.FRONT_DESK)
    assert len(events(feed)) == 1
    desk.facilities.set([built.west])
    assert events(feed) == []


@pytest.mark.parametrize("asked", [{}, {"practitioner_id": 1, "facility_id": 1}])
def test_one_of_the_two_is_named(built: Built, asked: dict[str, int]) -> None:
    ids = {
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
    }
    body = {"label": "x", **{name: ids[name] for name in asked}}
    refused(built.api(Role.OWNER).post("calendar-feeds", body, key=key()), 400, "invalid")


def test_nobody_makes_a_link_to_what_they_do_not_see(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    for body in (
        {"facility_id": str(built.west.pk)},
        {"practitioner_id": str(built.practitioners[Credential.PERSONAL_TRAINER].pk)},
    ):
        refused(desk.post("calendar-feeds", {"label": "x", **body}, key=key()), 404, "not_found")


def test_links_are_ones_own_and_the_owner_sees_and_ends_all(built: Built) -> None:
    feed = made(built)
    desk, owner = built.api(Role.FRONT_DESK), built.api(Role.OWNER)
    assert ok(desk.get("calendar-feeds"))["results"] == []
    refused(desk.delete(f"calendar-feeds/{feed['id']}", key=key()), 404, "not_found")
    assert [one["id"] for one in ok(owner.get("calendar-feeds"))["results"]] == [feed["id"]]
    assert owner.delete(f"calendar-feeds/{feed['id']}", key=key()).status_code == 204
    refused(Api().get(feed["path"]), 404, "not_found")


def test_the_secret_is_shown_once_and_stands_nowhere(built: Built) -> None:
    feed = made(built)
    secret = feed["path"].rsplit("/", 1)[1].removesuffix(".ics")
    assert len(secret) >= 43, "256 random bits"
    row = CalendarFeed.objects.get()
    kept = [row.digest, row.label, *map(str, SettingChange.objects.values_list("after", flat=True))]
    assert not [one for one in kept if secret in one]
    assert "path" not in ok(built.api(Role.PRACTITIONER).get("calendar-feeds"))["results"][0]


def test_a_client_counts_as_read_by_the_maker_once_a_day(built: Built) -> None:
    client_id = open_client(built)
    book(built, client_id, local(2))
    feed = made(built)

    def reads() -> list[tuple[UUID | None, UUID | None]]:
        rows = AccessEntry.objects.filter(what=f"calendar feed {feed['id']}")
        return list(rows.values_list("staff_id", "client_id"))

    events(feed)
    events(feed)
    assert reads() == [(built.staff[Role.PRACTITIONER].pk, client_id)]
    with clock.at(clock.now() + timedelta(days=1) - timedelta(minutes=1)):
        events(feed)
    assert len(reads()) == 1
    with clock.at(clock.now() + timedelta(days=1, minutes=1)):
        events(feed)
    assert len(reads()) == 2


def test_a_feed_that_names_nobody_is_no_read(built: Built) -> None:
    setting("client_shown", "nothing")
    book(built, open_client(built), local(2))
    feed = made(built)
    events(feed)
    assert not AccessEntry.objects.filter(what__startswith="calendar feed").exists()


def test_an_unknown_link_is_404(built: Built) -> None:
    refused(Api().get("calendar-feeds/nobody-knows-this.ics"), 404, "not_found")


@pytest.mark.parametrize(
    ("begins", "utc"),
    [
        ("2026-03-08T03:30:00-04:00", "20260308T073000Z"),
        ("2026-11-01T01:30:00-04:00", "20261101T053000Z"),
        ("2026-11-01T01:30:00-05:00", "20261101T063000Z"),
    ],
)
def test_times_are_utc_instants_on_both_days_of_a_clock_change(begins: str, utc: str) -> None:
    """RFC 5545, 3.3.5, form 2; the clock changes of America/New_York are of the tz database."""
    start = datetime.fromisoformat(begins)
    entry = FeedEntry(
        session_id=UUID(int=1),
        starts_at=start,
        ends_at=start + timedelta(hours=1),
        changed_at=start,
        sequence=3,
        summary="Session, with a comma; and more",
        location="East",
    )
    text = calendar_file("Anna", [entry]).decode()
    assert f"DTSTART:{utc}\r\n" in text
    assert "SUMMARY:Session\\, with a comma\\; and more\r\n" in text, "RFC 5545, 3.3.11"
    (event,) = Calendar.from_ical(text).walk("VEVENT")
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(hours=1)
    assert text.startswith("BEGIN:VCALENDAR\r\n"), "RFC 5545, 3.1: lines end with CRLF"


@pytest.mark.parametrize(
    ("name", "letters"),
    [
        ("Maja van der Lind", "M. v. d. L."),
        ("Ana-María Óg", "A. M. Ó."),
        ("Prince", "P."),
        ("", ""),
    ],
)
def test_initials(name: str, letters: str) -> None:
    assert initials(name) == letters
