"""A facility under another law or clock: the answer says what that does to booked sessions."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from practice.core.terms import Allowance, Credential, Role
from practice.jobs.services import run_due_jobs
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, limit, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
NEW = {"name": "North", "zone": "America/Denver", "jurisdiction": "US-PA"}


@pytest.fixture
def built() -> Built:
    return build_practice()


def change(built: Built, **values: Any) -> dict[str, str]:
    """The warnings by code of a change of the facility in the east (US-PA, New York)."""
    path = f"facilities/{built.east.pk}"
    shown = ok(built.api(Role.OWNER).change(path, values))
    return {one["code"]: one["text"] for one in shown["warnings"]}


def texas(built: Built) -> None:
    """Law of US-TX: physical therapists may stretch by hand there."""
    limit("US-TX", Credential.PHYSICAL_THERAPIST, Allowance.ALLOWED)


def test_another_law_says_how_many_booked_sessions_it_concerns_and_they_are_judged_by_it(
    built: Built,
) -> None:
    texas(built)
    client = open_client(built)
    first, second = book(built, client, local(3)), book(built, client, local(4))
    over = book(built, client, local(-2), attendance="attended")
    told = change(built, jurisdiction="US-TX")
    assert told["sessions_under_another_law"].startswith("2 booked sessions here are upcoming")
    assert "US-TX instead of US-PA" in told["sessions_under_another_law"]
    run_due_jobs()
    for one in (first, second):
        row = Session.objects.get(pk=one["id"])
        assert (row.flagged, row.mode) == (True, "self_directed")
        assert {reason["code"] for reason in row.flag_reasons} == {"law.licence"}
    assert not Session.objects.get(pk=over["id"]).flagged


def test_a_law_on_record_that_allows_it_and_a_licence_there_flag_nothing(built: Built) -> None:
    texas(built)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    paula.licences.filter(jurisdiction="US-PA").update(jurisdiction="US-TX")
    booked = book(built, open_client(built), local(3))
    change(built, jurisdiction="US-TX")
    run_due_jobs()
    assert not Session.objects.get(pk=booked["id"]).flagged


def test_another_law_with_the_old_clock_asks_whether_it_is_the_clock_there(built: Built) -> None:
    texas(built)
    assert set(change(built, jurisdiction="US-TX")) == {"zone_stayed"}
    assert change(built, jurisdiction="US-TX", name="E") == {}, "nothing changed of law or clock"
    assert change(built, jurisdiction="US-PA", zone="America/Chicago") == {}


def test_another_clock_says_that_booked_sessions_keep_their_instants(built: Built) -> None:
    booked = book(built, open_client(built), local(3))
    told = change(built, zone="America/Chicago")
    assert set(told) == {"sessions_keep_their_instant"}
    assert "America/Chicago" in told["sessions_keep_their_instant"]
    run_due_jobs()
    row = Session.objects.get(pk=booked["id"])
    assert row.starts_at == datetime.fromisoformat(booked["starts_at"])
    assert change(built, name="E") == {}


def test_sessions_elsewhere_are_not_counted(built: Built) -> None:
    texas(built)
    book(built, open_client(built), local(3))
    path = f"facilities/{built.west.pk}"
    shown = ok(built.api(Role.OWNER).change(path, {"jurisdiction": "US-TX"}))
    assert [one["code"] for one in shown["warnings"]] == ["zone_stayed"]


def test_a_zone_of_another_country_is_pointed_out_at_every_answer(built: Built) -> None:
    owner = built.api(Role.OWNER)
    made = ok(owner.post("facilities", {**NEW, "zone": "America/Toronto"}), 201)
    assert [one["code"] for one in made["warnings"]] == ["zone_of_another_country"]
    text = "America/Toronto is no time zone of United States, where US-PA is"
    assert text in made["warnings"][0]["text"]
    path = f"facilities/{made['id']}"
    again = ok(owner.change(path, {"name": "N"}))
    assert [one["code"] for one in again["warnings"]] == ["zone_of_another_country"]
    assert ok(owner.change(path, {"zone": "America/New_York"}))["warnings"] == []
