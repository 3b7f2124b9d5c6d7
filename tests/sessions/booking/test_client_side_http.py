"""Over HTTP: what suits the client is asked where a time is offered, booked or given away."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time, timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from practice.clock import clock
from practice.core.terms import Role
from practice.policy.models import PracticeSetting
from tests.builders import Built, ok
from tests.sessions.booking.http import book
from tests.sessions.people import open_client, tell
from tests.sessions.series.http import NOW, book_series, held_practice, send, start
from tests.sessions.waiting_list.http import waits, who_fits

pytestmark = pytest.mark.django_db

DAY = "2026-03-17"
"""A Tuesday."""
CHEMOTHERAPY = UnsuitableTime(weekday=2, starts=time(8), ends=time(12), reason="chemotherapy")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def client_of(built: Built, **more: Any) -> UUID:
    """A client to whom Tuesday mornings do not suit."""
    client = open_client(built)
    values: dict[str, Any] = {"unsuitable_times": (CHEMOTHERAPY,), **more}
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        birth_date=date(1970, 5, 4),
        zone=built.east.zone,
        facility_ids=(built.east.pk,),
        **values,
    )
    tell(built, client, ClientDetailsChanged(details=details))
    return client


def codes(answer: dict[str, Any]) -> list[str]:
    return [one["code"] for one in answer["warnings"]]


def test_booking_and_moving_warn_and_billing_reads_no_reason(built: Built) -> None:
    client = client_of(built)
    made = book(built, client, start(DAY, "10:00"))
    assert codes(made) == ["unsuitable_time"]
    assert made["warnings"][0]["text"] == (
        "It does not suit the client: Tuesdays 08:00 to 12:00 (chemotherapy)."
    )
    billing = ok(built.api(Role.BILLING).get(f"sessions/{made['id']}"))
    assert "chemotherapy" not in str(billing["warnings"])
    away = {"starts_at": start(DAY, "12:00"), "reason": "Another hour."}
    assert codes(ok(send(built, f"sessions/{made['id']}/move", away))) == []
    back = {"starts_at": start(DAY, "11:30"), "reason": "As before."}
    assert codes(ok(send(built, f"sessions/{made['id']}/move", back))) == ["unsuitable_time"]


def test_a_series_warns_of_each_session_that_does_not_suit(built: Built) -> None:
    client = client_of(built)
    rule = {"starts_at": {"local": "2026-03-16T09:00"}, "recurrence": "FREQ=DAILY;COUNT=3"}
    made = book_series(built, client, **rule)
    told = [[one["code"] for one in each["warnings"]] for each in made["occurrences"]]
    assert told == [[], ["unsuitable_time"], []]


def offers(built: Built, client: UUID, **more: str) -> Any:
    query = {"client_id": str(client), "minutes": 60, "from": DAY, "to": DAY, "page_size": 100}
    return ok(built.api(Role.FRONT_DESK).get("open-times", {**query, **more}))


def begins(found: Any) -> list[str]:
    return sorted({one["starts_at"][11:16] for one in found["results"]})


def test_open_times_leave_out_what_does_not_suit_and_say_why(built: Built) -> None:
    client = client_of(built)
    found = offers(built, client)
    assert begins(found)[0] == "12:00"
    [why] = found["left_out"]
    assert why["code"] == "unsuitable_time"
    assert why["text"].endswith("Tuesdays 08:00 to 12:00 (chemotherapy).")
    assert offers(built, client, **{"from": "2026-03-18", "to": "2026-03-18"})["left_out"] == []


def test_they_are_shown_where_they_are_asked_for_each_with_a_warning(built: Built) -> None:
    client = client_of(built)
    found = offers(built, client, with_unsuitable="true", order="time")
    assert begins(found)[0] == "08:00"
    assert found["left_out"] == []
    numbers = {n for n, one in found["reason_texts"].items() if one["code"] == "unsuitable_time"}
    for one in found["results"]:
        warned = bool(numbers & set(map(str, one.get("warnings", []))))
        assert warned == (one["starts_at"][11:16] < "12:00")


def test_who_waits_is_not_named_for_a_time_that_does_not_suit(built: Built) -> None:
    client = client_of(built)
    waits(built, client)
    assert [one["client_id"] for one in who_fits(built, start(DAY, "12:00"))["results"]] == [
        str(client)
    ]
    assert who_fits(built, start(DAY, "10:00"))["results"] == []


def test_sessions_a_week_and_no_shows_are_warned_of(built: Built) -> None:
    client = client_of(built, planned_sessions_per_week=2)
    for day in ("2026-03-16", "2026-03-18"):
        assert codes(book(built, client, start(day, "14:00"))) == []
    third = book(built, client, start("2026-03-20", "14:00"))
    assert codes(third) == ["more_than_planned"]
    sooner = {"starts_at": start("2026-03-20", "15:00"), "reason": "An hour later."}
    assert codes(ok(send(built, f"sessions/{third['id']}/move", sooner))) == ["more_than_planned"]
    later = {"starts_at": start("2026-03-23", "15:00"), "reason": "The week after."}
    assert codes(ok(send(built, f"sessions/{third['id']}/move", later))) == []


def test_the_number_of_no_shows_is_the_practices(built: Built) -> None:
    client = client_of(built)
    PracticeSetting.objects.filter(group="calendar", key="no_show_warning").update(value=1)
    yesterday = (NOW - timedelta(days=1)).date().isoformat()
    book(built, client, start(yesterday, "14:00"), attendance="no_show")
    assert codes(book(built, client, start("2026-03-20", "14:00"))) == ["no_shows"]
