"""Times held for evaluations: by weekday or day, until they are released to all."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from practice.clock import clock
from practice.core.localtime import minute_of
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Role
from sessions.held_slots.domain.held_slot import (
    HeldSlot,
    check_held,
    held_reason,
    held_reasons,
    held_spans,
)
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import body, book, key
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, held_practice, send, start
from tests.sessions.waiting_list.http import waits, who_fits

ZONE = "America/New_York"
HERE = ZoneInfo(ZONE)
TUESDAY = date(2026, 3, 17)
DAY = TUESDAY.isoformat()


def at(hour: int, minute: int = 0, day: date = TUESDAY) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=HERE)


LONG_BEFORE = at(10) - timedelta(hours=48, seconds=1)


def held(**changes: Any) -> HeldSlot:
    values: dict[str, Any] = {
        "id": UUID(int=3),
        "practitioner_id": UUID(int=4),
        "weekday": 2,
        "starts": time(10),
        "ends": time(12),
        "release_hours": 48,
        **changes,
    }
    return HeldSlot(**values)


@pytest.mark.parametrize(
    ("begin", "end", "is_held"),
    [
        (at(9), at(10), False),
        (at(9), at(10, 1), True),
        (at(11, 59), at(13), True),
        (at(12), at(13), False),
        (at(10, day=date(2026, 3, 18)), at(11, day=date(2026, 3, 18)), False),
        (at(23, day=date(2026, 3, 16)), at(10, 1), True),
    ],
)
def test_it_is_held_while_a_session_would_take_from_it(
    begin: datetime, end: datetime, is_held: bool
) -> None:
    assert bool(held_reasons([held()], begin, end, ZONE, LONG_BEFORE)) is is_held


def test_from_its_lead_time_on_it_is_anybodys() -> None:
    assert held_reasons([held()], at(10), at(11), ZONE, LONG_BEFORE)
    assert not held_reasons([held()], at(10), at(11), ZONE, at(10) - timedelta(hours=48))
    never = held(release_hours=0)
    assert held_reasons([never], at(10), at(11), ZONE, at(9, 59))
    assert not held_reasons([never], at(10), at(11), ZONE, at(10))


def test_one_of_a_day_is_held_that_day_alone() -> None:
    single = held(weekday=None, day=TUESDAY)
    week_after = TUESDAY + timedelta(days=7)
    assert held_spans([single], TUESDAY, ZONE, LONG_BEFORE) == [
        (minute_of(at(10)), minute_of(at(12)))
    ]
    assert held_spans([single], week_after, ZONE, LONG_BEFORE) == []
    assert held_spans([held()], week_after, ZONE, LONG_BEFORE) != []


def test_why_is_said_in_plain_words() -> None:
    assert held_reason(held(), "Paula").text == (
        "Paula: Tuesdays 10:00 to 12:00 is held for evaluations until 48 hours before."
    )
    single = held(weekday=None, day=TUESDAY, release_hours=0)
    assert held_reason(single).text == (
        "The practitioner: 2026-03-17 10:00 to 12:00 is held for evaluations until it begins."
    )


@pytest.mark.parametrize(
    "given",
    [
        (2, TUESDAY, time(10), time(12)),
        (None, None, time(10), time(12)),
        (2, None, time(10), time(10)),
    ],
)
def test_one_that_cannot_be_is_refused(given: tuple[Any, ...]) -> None:
    with pytest.raises(Rejected):
        check_held(*given)


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def paula(built: Built) -> str:
    return str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)


def hold(built: Built, **changes: Any) -> dict[str, Any]:
    sent = {
        "practitioner_id": paula(built),
        "facility_id": str(built.east.pk),
        "weekday": 2,
        "starts": "10:00",
        "ends": "12:00",
        **changes,
    }
    made: dict[str, Any] = ok(built.api(Role.FRONT_DESK).post("held-slots", sent), 201)
    return made


def offered(built: Built, client: UUID, **more: Any) -> Any:
    query = {"client_id": str(client), "from": DAY, "to": DAY, "page_size": 100, "minutes": 60}
    query |= {"practitioner_id": paula(built), **more}
    return ok(built.api(Role.FRONT_DESK).get("open-times", query))


def hours(found: Any) -> set[str]:
    return {one["starts_at"][11:16] for one in found["results"]}


@pytest.mark.django_db
def test_it_is_offered_for_an_evaluation_alone_and_why_is_said(built: Built) -> None:
    client = open_client(built)
    hold(built)
    found = offered(built, client)
    assert {"09:00", "12:00"} <= hours(found)
    assert not {"09:15", "10:00", "11:45"} & hours(found)
    assert [one["code"] for one in found["left_out"]] == ["held_for_evaluations"]
    evaluations = offered(built, client, purpose="evaluation")
    assert {"09:15", "10:00", "11:45"} <= hours(evaluations)
    assert evaluations["left_out"] == []


@pytest.mark.django_db
def test_after_its_release_it_is_offered_to_all(built: Built) -> None:
    client = open_client(built)
    hold(built, release_hours=24 * 30)
    found = offered(built, client)
    assert "10:00" in hours(found)
    assert found["left_out"] == []
    assert book(built, client, start(DAY, "10:00"))["overruled"] == ""


@pytest.mark.django_db
def test_another_purpose_needs_a_reason(built: Built) -> None:
    client = open_client(built)
    hold(built)
    desk = built.api(Role.FRONT_DESK)
    sent = body(built, client, start(DAY, "10:00"))
    problem = refused(desk.post("sessions", sent, key=key()), 409, "closed_then")
    assert "is held for evaluations until 48 hours before" in problem["detail"]
    why = {"overrule": "No other hour this week."}
    made = ok(desk.post("sessions", {**sent, **why}, key=key()), 201)
    assert made["overruled"] == "No other hour this week."
    assert {"held_for_evaluations", "overruled"} <= {one["code"] for one in made["warnings"]}
    into = {"starts_at": start(DAY, "11:00"), "reason": "An hour later."}
    refused(send(built, f"sessions/{made['id']}/move", into), 409, "closed_then")
    ok(send(built, f"sessions/{made['id']}/move", {**into, **why}))


@pytest.mark.django_db
def test_a_new_client_is_booked_into_it_and_nobody_waits_for_it(built: Built) -> None:
    client, other = open_client(built), open_client(built)
    hold(built)
    waits(built, other)
    assert who_fits(built, start(DAY, "10:00"))["results"] == []
    made = book(built, client, start(DAY, "10:00"), purpose="evaluation")
    assert made["overruled"] == ""
    assert "held_for_evaluations" not in {one["code"] for one in made["warnings"]}


@pytest.mark.django_db
def test_it_is_changed_and_given_back(built: Built) -> None:
    client, made = open_client(built), hold(built)
    desk, path = built.api(Role.FRONT_DESK), f"held-slots/{made['id']}"
    changed = ok(desk.change(path, {"starts": "14:00", "ends": "15:00"}))
    assert (changed["starts"], changed["revision"]) == ("14:00:00", 2)
    assert "10:00" in hours(offered(built, client))
    refused(desk.change(path, {"ends": "13:00"}), 400, "invalid")
    refused(desk.change(path, {"facility_id": str(built.west.pk)}), 400, "invalid")
    ok(desk.delete(path), 204)
    assert "14:00" in hours(offered(built, client))
    assert ok(desk.get("held-slots"))["results"] == []


@pytest.mark.django_db
def test_who_does_not_work_there_is_not_held(built: Built) -> None:
    sent: dict[str, Any] = {
        "practitioner_id": str(built.east.pk),
        "facility_id": str(built.east.pk),
    }
    sent |= {"weekday": 2, "starts": "10:00", "ends": "12:00"}
    refused(built.api(Role.FRONT_DESK).post("held-slots", sent), 400, "invalid")
