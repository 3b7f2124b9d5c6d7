"""Extra hours, and public holidays by the practice's rule, over HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from practice.policy.models import PracticeSetting
from tests.builders import Built, ok, refused
from tests.sessions.absences.http import olga, paula
from tests.sessions.booking.http import body, key
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, held_practice

pytestmark = [pytest.mark.django_db, pytest.mark.holidays]
MEMORIAL_DAY = "2026-05-25"
"""The last Monday of May (5 U.S.C. 6103)."""
TEN = f"{MEMORIAL_DAY}T10:00:00-04:00"


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def ask(built: Built, starts_at: str = TEN, **changes: Any) -> Any:
    sent = body(built, open_client(built), starts_at, **changes)
    return built.api(Role.FRONT_DESK).post("sessions", sent, key=key())


def closes(built: Built) -> None:
    rows = PracticeSetting.objects.filter(group="calendar", key="closes_on_public_holidays")
    rows.update(value=True)


def holiday(built: Built) -> dict[str, Any]:
    path = f"facilities/{built.east.pk}/holidays"
    shown = ok(built.api(Role.FRONT_DESK).get(path, {"year": "2026"}))
    (found,) = [one for one in shown["holidays"] if one["day"] == MEMORIAL_DAY]
    only: dict[str, Any] = found
    return only


def open_on_it(built: Built) -> Any:
    sent = {"facility_id": str(built.east.pk), "day": MEMORIAL_DAY, "reason": "Asked for."}
    return built.api(Role.FRONT_DESK).post("holiday-openings", sent)


def test_unless_the_practice_says_so_a_holiday_is_only_named(built: Built) -> None:
    assert (holiday(built)["name"], holiday(built)["closed"]) == ("Memorial Day", False)
    made = ok(ask(built), 201)
    assert [one["code"] for one in made["warnings"]] == ["on_public_holiday"]
    assert made["warnings"][0]["text"] == "2026-05-25 is a public holiday: Memorial Day."


def test_where_the_practice_closes_on_them_it_refuses_and_may_be_overruled(built: Built) -> None:
    closes(built)
    assert holiday(built)["closed"]
    problem = refused(ask(built), 409, "closed_then")
    assert problem["reasons"][0]["text"] == "The practice is closed on 2026-05-25: Memorial Day."
    ok(ask(built, overrule="The only day they can come."), 201)


def test_a_facility_may_open_on_a_single_holiday_and_take_that_back(built: Built) -> None:
    closes(built)
    made = ok(open_on_it(built), 201)
    assert (holiday(built)["closed"], holiday(built)["opening_id"]) == (False, made["id"])
    refused(open_on_it(built), 409, "already_there")
    ok(ask(built), 201)
    ok(built.api(Role.FRONT_DESK).delete(f"holiday-openings/{made['id']}"), 204)
    refused(ask(built, f"{MEMORIAL_DAY}T14:00:00-04:00"), 409, "closed_then")


def test_only_a_holiday_is_opened(built: Built) -> None:
    sent = {"facility_id": str(built.east.pk), "day": "2026-05-26"}
    assert built.api(Role.FRONT_DESK).post("holiday-openings", sent).status_code == 400


def test_open_times_name_the_holiday_or_leave_it_out(built: Built) -> None:
    query = {
        "client_id": str(open_client(built)),
        "facility_id": str(built.east.pk),
        "from": MEMORIAL_DAY,
        "to": MEMORIAL_DAY,
        "minutes": "60",
    }
    desk = built.api(Role.FRONT_DESK)
    shown = ok(desk.get("open-times", query))
    told = shown["reason_texts"][str(shown["results"][0]["warnings"][0])]
    assert "2026-05-25 is a public holiday: Memorial Day." in str(told)
    closes(built)
    shown = ok(desk.get("open-times", query))
    assert shown["results"] == []
    assert "public_holiday" in str(shown["facilities"])


def extra(built: Built, **changes: Any) -> Any:
    sent = {
        "practitioner_id": olga(built),
        "facility_id": str(built.east.pk),
        "day": "2026-03-21",
        "starts": "18:00",
        "ends": "20:00",
        **changes,
    }
    return built.api(Role.FRONT_DESK).post("extra-hours", sent)


def evening(built: Built) -> list[str]:
    query = {
        "client_id": str(open_client(built)),
        "practitioner_id": olga(built),
        "facility_id": str(built.east.pk),
        "from": "2026-03-21",
        "to": "2026-03-21",
        "begins_from": "17:30",
        "minutes": "60",
    }
    del query["begins_from"]
    found = ok(built.api(Role.FRONT_DESK).get("open-times", {**query, "page_size": "100"}))
    return [one["starts_at"][11:16] for one in found["results"] if one["starts_at"][11:13] > "17"]


def test_extra_hours_are_offered_at_once_and_no_more_once_taken_back(built: Built) -> None:
    assert evening(built) == []
    made = ok(extra(built), 201)
    assert made["warnings"] == []
    assert "19:00" in evening(built)
    late = "2026-03-21T19:00:00-04:00"
    assert ok(ask(built, late, practitioner_id=olga(built)), 201)["warnings"] == []
    ok(built.api(Role.FRONT_DESK).delete(f"extra-hours/{made['id']}"), 204)
    assert evening(built) == []


def test_extra_hours_while_the_facility_is_closed_are_warned_of(built: Built) -> None:
    made = ok(extra(built, starts="19:00", ends="21:00"), 201)
    assert [one["code"] for one in made["warnings"]] == ["facility_closed"]
    whole = ok(extra(built, starts="22:00", ends="00:00"), 201)
    assert [one["code"] for one in whole["warnings"]] == ["facility_closed"]


def test_extra_hours_that_cannot_be_are_refused(built: Built) -> None:
    ok(extra(built), 201)
    refused(extra(built), 409, "already_there")
    assert extra(built, starts="10:00", ends="10:00").status_code == 400
    west = {"facility_id": str(built.west.pk)}
    assert extra(built, **west).status_code == 404
    owner = built.api(Role.OWNER)
    sent = {
        "practitioner_id": olga(built),
        "day": "2026-03-21",
        "starts": "18:00",
        "ends": "19:00",
        **west,
    }
    assert owner.post("extra-hours", sent).status_code == 400
    assert paula(built)
