"""A facility with many practitioners, each with six sessions on every day of a year."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Role
from practice.people_and_places.models.facilities import Room
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings
from tests.bench.at_noon import asked, finish, further_practitioner, practice_at_noon, today
from tests.bench.pure_open_times import pure_seconds
from tests.growth.rows import copy
from tests.sessions.booking.http import book
from tests.sessions.people import open_client

DAYS, A_DAY = 365, 6


def build(*, practitioners: int, rounds: int) -> dict[str, Any]:
    """Tokens, the request of as many days as one may ask for; seconds of the pure function."""
    built = practice_at_noon()
    people = [further_practitioner(built, number)[0].pk for number in range(practitioners)]
    Room.objects.bulk_create(
        Room(facility=built.east, name=f"Room {number}") for number in range(practitioners)
    )
    client_id = open_client(built)
    book(built, client_id, f"{today(built, 1)}T09:00:00+00:00", practitioner_id=str(people[0]))
    _fill(people, built.east.zone)
    days = calendar_settings().open_times_days
    query = f"client_id={client_id}&facility_id={built.east.pk}&minutes=60"
    query += f"&from={today(built)}&to={today(built, days - 1)}"
    one = asked("GET", f"open-times?{query}", Role.FRONT_DESK.value)
    tokens = finish(built)
    pure = [pure_seconds(built, people) for _ in range(rounds)]
    return {"tokens": tokens, "asked": one, "days": days, "pure": pure}


def _fill(people: list[UUID], zone: str) -> None:
    """Sessions of an hour side by side from nine local time on, of clients who are nobody.

    At any hour of the run the same: they never lie over local midnight, where each would be read
    for two days.
    """
    ids = ", ".join(f"'{one}'" for one in people)
    count = len(people)
    nine = f"(date_trunc('day', now() AT TIME ZONE '{zone}') + interval '9 hours')"
    hour = (
        f"interval '1 hour' * mod(n / {count}, {A_DAY}) + interval '1 day' * (n / {count * A_DAY})"
    )
    own = {
        "client_id": "gen_random_uuid()",
        "room_id": "NULL",
        "practitioner_id": f"(ARRAY[{ids}]::uuid[])[1 + mod(n, {count})]",
        "starts_at": f"({nine} + {hour}) AT TIME ZONE '{zone}'",
        "ends_at": f"({nine} + {hour} + interval '1 hour') AT TIME ZONE '{zone}'",
        "local_date": "CURRENT_DATE",
    }
    copy(Session, count * A_DAY * DAYS, {}, own)
