"""The clocks by which the tests can be run: none is a date that ages."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from practice.management.test_clocks import CLOCKS, change_after, instant_of

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("name", "instant"),
    [
        # Thirteen calendar months; clocks change as in the IANA time zone database: in New York
        # at 02:00 local time, in Europe at 01:00 UTC. Five minutes before.
        ("later", "2027-12-25T10:00:00+00:00"),
        ("us-spring", "2027-03-14T06:55:00+00:00"),
        ("us-autumn", "2027-11-07T05:55:00+00:00"),
        ("eu-spring", "2027-03-28T00:55:00+00:00"),
        ("eu-autumn", "2027-10-31T00:55:00+00:00"),
        ("summer", "2027-07-01T10:00:00+00:00"),
        ("leap-day", "2028-02-29T10:00:00+00:00"),
        ("2031-06-01T10:00", "2031-06-01T10:00:00+00:00"),
        ("2031-06-01T10:00-05:00", "2031-06-01T15:00:00+00:00"),
    ],
)
def test_each_clock_is_counted_from_the_day_on_which_it_is_asked_for(name, instant):
    assert instant_of(name, TODAY) == datetime.fromisoformat(instant)


@pytest.mark.parametrize(
    ("today", "night"),
    [
        (date(2027, 11, 6), date(2027, 11, 7)),
        # On the day itself the change of the next year is meant.
        (date(2027, 11, 7), date(2028, 11, 5)),
    ],
)
def test_a_night_lies_ahead(today, night):
    assert change_after(today, "America/New_York", back=True).date() == night


@pytest.mark.parametrize("name", CLOCKS)
@pytest.mark.parametrize("today", [TODAY, date(2028, 2, 29), date(2031, 12, 31)])
def test_every_clock_lies_ahead_of_any_day(name, today):
    assert instant_of(name, today).date() > today


def test_a_zone_without_changes_has_no_such_night():
    with pytest.raises(ValueError, match="do not change"):
        change_after(TODAY, "Asia/Kolkata", back=True)


def test_an_unknown_clock_is_refused_and_names_those_that_are_known():
    with pytest.raises(CommandError, match=r"sometime: give later, .*us-autumn, .* or a time"):
        call_command("test", clock=["sometime"])


PROBE = """
import os, time
from datetime import datetime, timezone
from django.utils import timezone as django_time
from practice.clock import clock

def test_every_reading_of_the_time_is_moved():
    wanted = datetime.fromisoformat(os.environ["PRACTICE_TEST_CLOCK"])
    for now in (
        clock.now(), datetime.now(timezone.utc), django_time.now(),
        datetime.fromtimestamp(time.time(), timezone.utc),
    ):
        assert 0 <= (now - wanted).total_seconds() < 120
"""


@pytest.mark.once
def test_the_tests_go_by_the_clock_that_is_set(tmp_path):
    pytest.importorskip("time_machine", reason="python3 manage.py test installs it")
    probe, root = tmp_path / "test_probe.py", Path(settings.BASE_DIR)
    probe.write_text(PROBE)
    wanted = instant_of("later", datetime.fromtimestamp(time.time(), UTC).date())
    env = os.environ | {"PRACTICE_TEST_CLOCK": wanted.isoformat()}
    command = (sys.executable, "-m", "pytest", "-q", "-p", "tests.conftest", "-c")
    asked = [*command, str(root / "pyproject.toml"), "-p", "no:cacheprovider", str(probe)]
    said = subprocess.run(asked, env=env, cwd=root, capture_output=True, text=True, check=False)
    assert "1 passed" in said.stdout, said.stdout + said.stderr
    assert f"the clock began at {wanted.isoformat()}" in said.stdout
