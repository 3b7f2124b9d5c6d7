"""The picture of a series: what is joined, what is marked, what the bands are."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import matplotlib as mpl
import pytest

from practice.core.terms import Credential, MotionType, Movement, Role, Side
from sessions.measurements.selectors.readings import reading_series
from tests.builders import Api, Built
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import days_ago, measure


@pytest.fixture
def client_id(built: Built) -> UUID:
    """Four alike readings, two of them another rater's, and two by inclinometer; one passive."""
    found, api = open_client(built), built.api(Role.PRACTITIONER)
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    measure(api, found, 120, occurred_at=days_ago(60))
    measure(api, found, 135, occurred_at=days_ago(40), rater_id=olga)
    measure(api, found, 150, occurred_at=days_ago(20))
    measure(api, found, 158, occurred_at=days_ago(5), rater_id=olga)
    for day, degrees in ((50, 126), (10, 149)):
        measure(api, found, degrees, occurred_at=days_ago(day), instrument="inclinometer")
    measure(api, found, 165, occurred_at=days_ago(15), motion="passive")
    return found


def test_only_readings_that_are_alike_are_joined(client_id: UUID) -> None:
    found = reading_series(client_id, Movement.SHOULDER_ABDUCTION, Side.RIGHT, MotionType.ACTIVE)
    assert [
        (one.instrument.value, [reading.degrees for reading in one.readings])
        for one in found.strands
    ] == [("goniometer", [120, 135, 150, 158]), ("inclinometer", [126, 149])]


def test_another_raters_readings_are_apart_with_the_error_of_two(client_id: UUID) -> None:
    found = reading_series(client_id, Movement.SHOULDER_ABDUCTION, Side.RIGHT, MotionType.ACTIVE)
    first = found.strands[0]
    assert [one.degrees for one in first.own] == [120, 150]
    assert [one.degrees for one in first.foreign] == [135, 158]
    assert first.error is not None
    assert first.error.two_raters > first.error.same_rater


def test_the_labels_say_which_is_which(
    built: Built, client_id: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(mpl.rcParams, "svg.fonttype", "none")
    text = drawn(built.api(Role.PRACTITIONER), client_id).decode()
    assert "goniometer, one rater: ±9° (same rater)" in text
    assert "goniometer, another rater: ±20° (two raters)" in text
    assert "inclinometer, one rater" in text
    assert "inclinometer, another rater" not in text
    assert "Shoulder abduction, right, active" in text


def drawn(api: Api, client_id: UUID, **more: Any) -> bytes:
    asked = {"movement": "shoulder_abduction", "side": "right", "format": "svg", **more}
    answer = api.get(f"clients/{client_id}/range-of-motion/chart", asked)
    assert answer.status_code == 200
    return bytes(answer.content)
