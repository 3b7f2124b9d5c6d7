"""The picture of a series: what is joined, what is marked, what the bands are."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import timedelta
from typing import Any
from uuid import UUID
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings

from clients.identity.models import Client
from practice.clock import clock
from practice.core.terms import Credential, MotionType, Movement, Role, Side
from practice.policy.models import Practice
from sessions.measurements.selectors.charts import MOST_DATES, initials
from sessions.measurements.selectors.readings import reading_series
from tests.builders import Api, Built, ok, refused
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


def test_the_labels_say_which_is_which(built: Built, client_id: UUID) -> None:
    said = written(built.api(Role.PRACTITIONER), client_id)
    assert "goniometer, sitting, one rater: ±9° (same rater)" in said
    assert "goniometer, sitting, another rater: ±20° (two raters)" in said
    assert any(one.startswith("inclinometer, sitting, one rater") for one in said)
    assert not any(one.startswith("inclinometer, sitting, another rater") for one in said)


def test_a_physician_reads_what_whose_when_and_how_much(built: Built, client_id: UUID) -> None:
    api = built.api(Role.PRACTITIONER)
    said = written(api, client_id)
    assert "Shoulder abduction, right, active (degrees)" in said
    assert "degrees, from 0" in said
    assert [f"{degrees}°" for degrees in (120, 135, 150, 158, 126, 149)] == [
        one for one in said if one.rstrip("°").isdigit() and one.endswith("°")
    ]
    assert {day_text(days) for days in (60, 50, 40, 20, 10, 5)} <= set(said)
    passive = written(api, client_id, motion="passive")
    assert "Shoulder abduction, right, passive (degrees)" in passive


def test_the_axis_begins_at_zero_and_below_it_where_a_reading_is(
    built: Built, client_id: UUID
) -> None:
    api = built.api(Role.PRACTITIONER)
    assert lowest(written(api, client_id)) == 0
    sent = {"movement": "shoulder_extension", "confirmed_unlikely": True}
    measure(api, client_id, -30, **sent)
    below = written(api, client_id, movement="shoulder_extension")
    assert lowest(below) < 0
    assert "-30°" in below


def test_a_position_is_written_at_the_points_where_they_differ(
    built: Built, client_id: UUID
) -> None:
    api = built.api(Role.PRACTITIONER)
    assert not [one for one in written(api, client_id) if one.endswith("° sitting")]
    measure(api, client_id, 161, position="supine")
    said = written(api, client_id)
    assert {"161° supine", "150° sitting"} <= set(said)
    assert "126°" in said, "the other instrument has one position"
    assert "goniometer, sitting or supine, one rater: ±9° (same rater)" in said


def test_what_the_goal_rests_on_stands_below_and_not_in_the_legend(
    built: Built, client_id: UUID
) -> None:
    goal = {
        "movement": "shoulder_abduction",
        "side": "right",
        "basis": "norm",
        "edition": "AAOS",
        "reason": "As the physician asked.",
    }
    api = built.api(Role.PRACTITIONER)
    made = ok(api.post(f"clients/{client_id}/goals", goal), 201)
    said = written(api, client_id)
    assert f"goal {made['degrees']}°" in said
    (below,) = [one for one in said if "edition" in one]
    assert below == f"Goal of {made['degrees']}°: {made['source']}, edition {made['edition']}."


def test_initials_unless_the_name_is_asked_for(built: Built, client_id: UUID) -> None:
    api = built.api(Role.PRACTITIONER)
    name, practice = Client.objects.get(pk=client_id).name, Practice.objects.get().name
    assert f"{initials(name)}, {practice}" in written(api, client_id)
    assert name not in " ".join(written(api, client_id))
    assert f"{name}, {practice}" in written(api, client_id, client="name")
    wrong = {"movement": "shoulder_abduction", "side": "right", "client": "id"}
    refused(api.get(f"clients/{client_id}/range-of-motion/chart", wrong), 400, "invalid")
    asked = {"movement": "shoulder_abduction", "side": "right", "client": "name"}
    desk = built.api(Role.FRONT_DESK)
    refused(desk.get(f"clients/{client_id}/range-of-motion/chart", asked), 403, "forbidden")


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Amara Lindholm", "A. L."),
        ("édith varga", "É. V."),
        ("Ana-Maria (Ana) de la Cruz", "A. A. D. L. C."),
        ("Óscar 3", "Ó."),
        ("", ""),
    ],
)
def test_initials_are_the_first_letters(name: str, short: str) -> None:
    assert initials(name) == short


def test_without_a_reading_no_date_is_made_up(built: Built) -> None:
    said = written(built.api(Role.PRACTITIONER), open_client(built))
    assert "no reading yet" in said
    assert not [one for one in said if "1970" in one]


def test_dates_are_those_of_the_practices_own_zone(built: Built) -> None:
    Practice.objects.update(zone="Pacific/Kiritimati")
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 120, occurred_at="2026-03-09T20:00:00+00:00")
    assert dates_in(written(api, client_id)) == ["10 Mar 2026"]


def test_many_days_are_left_to_the_library(built: Built, client_id: UUID) -> None:
    api = built.api(Role.PRACTITIONER)
    measure(api, client_id, 159, occurred_at=days_ago(4))
    measure(api, client_id, 160, occurred_at=days_ago(3))
    eight = written(api, client_id)
    assert MOST_DATES == 8
    assert dates_in(eight) == [day_text(days) for days in (60, 50, 40, 20, 10, 5, 4, 3)]
    measure(api, client_id, 161, occurred_at=days_ago(2))
    assert not {day_text(4), day_text(3), day_text(2)} <= set(dates_in(written(api, client_id)))


def test_the_plotting_library_is_loaded_by_the_first_picture_only() -> None:
    """Nobody else waits for it: what serves requests does not import it."""
    code = (
        "import sys, django; django.setup(); import practice.urls, practice.wsgi; "
        "sys.exit('matplotlib' in sys.modules)"
    )
    env = os.environ | {"DJANGO_SETTINGS_MODULE": "practice.settings", "PRACTICE_NO_VENV": "1"}
    done = subprocess.run([sys.executable, "-c", code], cwd=settings.BASE_DIR, env=env, check=False)
    assert done.returncode == 0


def drawn(api: Api, client_id: UUID, **more: Any) -> bytes:
    asked = {"movement": "shoulder_abduction", "side": "right", "format": "svg", **more}
    answer = api.get(f"clients/{client_id}/range-of-motion/chart", asked)
    assert answer.status_code == 200
    return bytes(answer.content)


def written(api: Api, client_id: UUID, **more: Any) -> list[str]:
    """The texts of a picture, in order."""
    root = ET.fromstring(drawn(api, client_id, **more))  # noqa: S314  our own picture
    texts = root.iter("{http://www.w3.org/2000/svg}text")
    return ["".join(one.itertext()).replace("\u2212", "-").strip() for one in texts]


def lowest(said: list[str]) -> int:
    """The lowest number on the axis of degrees."""
    return min(int(one) for one in said if one.lstrip("-").isdigit())


def dates_in(said: list[str]) -> list[str]:
    return [one for one in said if re.fullmatch(r"\d\d \w{3} \d{4}", one)]


def day_text(days: int) -> str:
    """A day so long ago, on the practice's calendar, as the axis writes it."""
    zone = ZoneInfo(Practice.objects.get().zone)
    return f"{(clock.now() - timedelta(days=days)).astimezone(zone):%d %b %Y}"
