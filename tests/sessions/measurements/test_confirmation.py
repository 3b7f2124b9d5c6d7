"""Ruling 54: what looks like a slip is kept only once it is confirmed."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import pytest

from practice.core.confirmation import settled
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.work import loading
from sessions.measurements.domain.confirmation import doubts_of_day, doubts_of_profile
from sessions.measurements.domain.events import CircumferencesMeasured
from tests import dsl
from tests.builders import Built, ok, refused
from tests.sessions.people import open_client
from tests.sessions.shipped import MEASUREMENT, SWELLING
from tests.sessions.stretches.stories import reading

BORN, TODAY = date(2025, 6, 1), date(2026, 3, 2)
WHO = dsl.ids()()
ARM = (16.0, 18.0, 21.0, 24.0)


def taken(day: date, birth: date | None = None) -> None:
    settled(doubts_of_day(day, TODAY, birth, MEASUREMENT), WHO, confirmed=False)


def test_a_day_before_birth_is_confirmed_first():
    taken(BORN, BORN)
    with pytest.raises(Rejected) as refusal:
        taken(date(2025, 5, 31), BORN)
    assert refusal.value.extra["confirm"] == "confirmed_occurred_at"


def test_a_day_years_back_is_confirmed_first():
    taken(date(2024, 3, 2))
    with pytest.raises(Rejected):
        taken(date(2024, 3, 1))


def arms(left=ARM, right=ARM) -> CircumferencesMeasured:
    return CircumferencesMeasured(
        circumferences_id=dsl.ids()(),
        interval_cm=4,
        left=left,
        right=right,
        rater_id=dsl.ids()(),
    )


def check_profile(now, last):
    settled(doubts_of_profile(now, last, SWELLING), WHO, confirmed=False)


def test_neighbours_out_of_line_are_confirmed_first_and_name_the_arm():
    check_profile(arms(right=(16.0, 22.0, 24.0, 26.0)), None)  # 6 cm in 4 cm
    with pytest.raises(Rejected) as refusal:
        check_profile(arms(right=(16.0, 22.1, 24.0, 26.0)), None)
    assert set(refusal.value.fields) == {"right"}


def test_a_point_far_from_the_last_measurement_is_confirmed_first():
    last = arms(left=(20.0, 20.0, 21.0, 24.0))
    check_profile(arms(left=(24.0, 20.0, 21.0, 24.0)), last)  # 20 %
    with pytest.raises(Rejected):
        check_profile(arms(left=(24.1, 20.0, 21.0, 24.0)), last)


def test_confirmed_it_is_kept_over_http(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    long_ago = {"occurred_at": "2019-05-01T12:00:00Z"}
    address = f"clients/{client_id}/range-of-motion"
    problem = refused(api.post(address, reading(150, **long_ago)), 400, "unlikely_day")
    assert [one["field"] for one in problem["errors"]] == ["occurred_at"]
    ok(api.post(address, reading(150, **long_ago, confirmed_occurred_at=True)), 201)
    address = f"clients/{client_id}/circumferences"
    slip = {"left": [16, 81, 21], "right": [16, 18, 21], "interval_cm": 4}
    problem = refused(api.post(address, slip), 400, "unlikely_circumference")
    assert (problem["confirm"], problem["errors"][0]["field"]) == ("confirmed_unlikely", "left")
    ok(api.post(address, {**slip, "confirmed_unlikely": True}), 201)
    right = {"left": [16, 18, 21], "right": [16, 18, 21], "interval_cm": 4}
    refused(api.post(address, right), 400, "unlikely_circumference")
    seen = {"finding": "forward_head", "severity": "mild", **long_ago}
    refused(api.post(f"clients/{client_id}/posture", seen), 400, "unlikely_day")
    ok(api.post(f"clients/{client_id}/posture", {**seen, "confirmed_occurred_at": True}), 201)


def test_the_warning_and_who_confirmed_it_are_kept_with_the_event() -> None:
    # Ruling 54.
    doubts = list(doubts_of_profile(arms(left=(16.0, 22.1, 24.0, 26.0)), None, SWELLING))
    (kept,) = settled(doubts, WHO, confirmed=True)
    assert (kept.code, kept.by) == ("unlikely_circumference", WHO)
    assert kept.text == doubts[0].text
    assert settled((), WHO, confirmed=True) == ()


def kept_of(built: Built, client_id: UUID) -> list[tuple[str, str, UUID]]:
    """Code, what was recorded, and the account, of every confirmed warning on record."""
    return [
        (one.code, rec.data.__class__.__name__, one.by)
        for rec in loading.load_events(client_id)
        for one in getattr(rec.data, "confirmed", ())
    ]


def test_what_was_confirmed_stands_in_event_and_history_over_http(built: Built) -> None:
    # Ruling 54.
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    long_ago = {"occurred_at": "2019-05-01T12:00:00Z", "confirmed_occurred_at": True}
    path = f"clients/{client_id}"
    both = reading(12, **long_ago, confirmed_unlikely=True)
    ok(api.post(f"{path}/range-of-motion", both), 201)
    seen = {"finding": "forward_head", "severity": "mild", **long_ago}
    ok(api.post(f"{path}/posture", seen), 201)
    slip = {"left": [16, 81, 21], "right": [16, 18, 21], "interval_cm": 4}
    ok(api.post(f"{path}/circumferences", {**slip, "confirmed_unlikely": True}), 201)
    usual = reading(150, confirmed_unlikely=True, confirmed_occurred_at=True)
    ok(api.post(f"{path}/range-of-motion", usual), 201)
    who = built.staff[Role.PRACTITIONER].pk
    assert kept_of(built, client_id) == [
        ("unlikely_day", "ReadingRecorded", who),
        ("unlikely_degrees", "ReadingRecorded", who),
        ("unlikely_day", "PostureRecorded", who),
        ("unlikely_circumference", "CircumferencesMeasured", who),
    ]
    told = [one["text"] for one in ok(api.get(f"{path}/history"))["results"]]
    assert sum("Confirmed by whoever recorded it" in text for text in told) == 3
