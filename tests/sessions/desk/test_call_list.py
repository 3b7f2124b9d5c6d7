"""The call list over HTTP: everything to call about in one place, until it was told."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import count
from typing import Any
from uuid import UUID, uuid4

import msgspec
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.calls.models import CallTopic
from clients.consent.domain.events import ConsentRecorded
from clients.health.domain.content import BodySite
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.reminders.models import Reminder
from practice.accesslog.models import AccessEntry
from practice.audit import rebuild
from practice.clock import clock
from practice.core.terms import Region, Role, Side
from practice.jobs.services import run_due_jobs
from sessions.calendar.models import Session
from sessions.stretches.models import Recheck
from tests.builders import Api, Built, at, build_practice, ok, refused
from tests.sessions.booking.http import body, book, local
from tests.sessions.people import (
    consent,
    not_today,
    open_client,
    registered,
    reminder_of,
    reviewed,
    tell,
)
from tests.sessions.stretches.stories import discharged

pytestmark = pytest.mark.django_db


HOURS = count(8)
"""Each session at an hour of its own: the practitioner is in one place at a time."""


@pytest.fixture
def built() -> Built:
    global HOURS  # noqa: PLW0603  the hours of one test
    HOURS = count(8)
    return build_practice()


def listed(api: Api, **query: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ok(api.get("call-list", query))["results"]
    return found


def reasons(api: Api, **query: str) -> list[str]:
    return [one["reason"] for one in listed(api, **query)]


def due(built: Built) -> UUID:
    """A client whose re-check is on the call list."""
    client = open_client(built)
    discharged(built, client, days=70)
    run_due_jobs()
    return client


def ending(built: Built, days: int = 20) -> UUID:
    """A client whose consent ends some days from now, with a session booked."""
    client = registered(built)
    tell(built, client, consent_for(days), reviewed())
    book(built, client, local(5, next(HOURS)))
    return client


def consent_for(days: int) -> ConsentRecorded:
    until = clock.now().date() + timedelta(days=days)
    return msgspec.structs.replace(consent(), until=until)


def narrowed(built: Built, *regions: Region) -> tuple[UUID, str]:
    """A client whose booked session narrowed, in all regions unless some are named."""
    client = open_client(built)
    session = book(built, client, local(4, next(HOURS)))
    sites = (BodySite(region=one, side=Side.BOTH) for one in regions or Region)
    tell(built, client, not_today(*sites))
    return client, session["id"]


def call(api: Api, client: UUID, outcome: str, **said: Any) -> dict[str, Any]:
    made: dict[str, Any] = ok(
        api.post(f"clients/{client}/calls", {"outcome": outcome, **said}), 201
    )
    return made


def test_everything_to_call_about_stands_in_one_place_soonest_first(built: Built) -> None:
    recheck, (client, session), consents = due(built), narrowed(built), ending(built)
    found = listed(desk := built.api(Role.FRONT_DESK))
    assert [(one["reason"], one["client_id"]) for one in found] == [
        ("recheck_due", str(recheck)),
        ("session_narrowed", str(client)),
        ("consent_ending", str(consents)),
    ]
    assert found[0]["text"].startswith("A re-check is due on ")
    assert found[1]["about_id"] == session
    assert found[1]["text"].endswith("narrowed since it was planned: nothing hands-on now.")
    assert found[2]["text"].startswith("The touch consent ends on ")
    assert [one["last_call"] for one in found] == [None] * 3
    assert reasons(desk, client_id=str(consents)) == ["consent_ending"]
    assert reasons(desk, reason="session_narrowed") == ["session_narrowed"]
    refused(desk.get("call-list", {"reason": "gossip"}), 400, "invalid")


def test_a_mail_that_was_not_sent_is_a_reason_of_its_own(built: Built) -> None:
    client = due(built)
    desk = built.api(Role.FRONT_DESK)
    about = Recheck.objects.get(client_id=client, status="on_call_list").pk
    row = reminder_of(client, about, "sent")
    assert reasons(desk) == ["recheck_due"]
    for status in ("refused", "not_wanted"):
        Reminder.objects.filter(pk=row.pk).update(status=status)
        (one,) = listed(desk)
        assert one["reason"] == "reminder_not_sent"
        assert one["text"].endswith("The mail was not sent.")


def test_who_was_reached_leaves_the_list_and_the_call_is_kept(built: Built) -> None:
    client = due(built)
    desk = built.api(Role.FRONT_DESK)
    made = call(desk, client, "reached", note="Comes on Friday.")
    assert [one["reason"] for one in made["about"]] == ["recheck_due"]
    assert made["called_by_name"] == "Desk"
    assert listed(desk) == []
    (kept,) = ok(desk.get(f"clients/{client}/calls"))["results"]
    assert (kept["outcome"], kept["note"]) == ("reached", "Comes on Friday.")
    history = ok(built.api(Role.OWNER).get(f"clients/{client}/history"))["results"]
    assert history[-1]["text"] == (
        "The client was called about: recheck due; reached. Comes on Friday."
    )


def test_what_was_told_comes_back_only_when_it_stands_anew(built: Built) -> None:
    client, session = narrowed(built, Region.ARM)
    desk = built.api(Role.FRONT_DESK)
    (one,) = listed(desk)
    assert one["text"].endswith("part hands-on now.")
    call(desk, client, "reached")
    assert listed(desk) == []
    ok(desk.post(f"clients/{client}/touch-consent/withdrawal", {}))
    (one,) = listed(desk)
    assert (one["about_id"], one["last_call"]["outcome"]) == (session, "reached")
    assert one["text"].endswith("nothing hands-on now.")


def test_a_message_stays_with_its_outcome_and_a_later_time_hides_until_then(
    built: Built,
) -> None:
    client = due(built)
    desk = built.api(Role.FRONT_DESK)
    call(desk, client, "left_message")
    (one,) = listed(desk)
    assert one["last_call"]["outcome"] == "left_message"
    assert one["last_call"]["called_by_name"] == "Desk"
    again = clock.now() + timedelta(hours=2)
    call(desk, client, "call_again", again_at=again.isoformat())
    assert listed(desk) == []
    with clock.at(again - timedelta(seconds=1)):
        assert listed(desk) == []
    with clock.at(again):
        (one,) = listed(desk)
        assert one["last_call"]["outcome"] == "call_again"


def test_a_client_who_calls_back_before_is_reached_all_the_same(built: Built) -> None:
    client = due(built)
    desk = built.api(Role.FRONT_DESK)
    again = clock.now() + timedelta(hours=2)
    call(desk, client, "no_answer", again_at=again.isoformat())
    made = call(desk, client, "reached")
    assert [one["reason"] for one in made["about"]] == ["recheck_due"]
    with clock.at(again + timedelta(hours=1)):
        assert listed(desk) == []
    assert call(desk, client, "no_answer")["about"] == []


def test_a_call_entered_late_does_not_stand_in_the_place_of_a_later_one(built: Built) -> None:
    client = due(built)
    desk = built.api(Role.FRONT_DESK)
    recheck = listed(desk)[0]["about_id"]
    call(desk, client, "left_message")
    hour_ago = (clock.now() - timedelta(hours=1)).isoformat()
    call(desk, client, "no_answer", about=[recheck], occurred_at=hour_ago)
    assert listed(desk)[0]["last_call"]["outcome"] == "left_message"


def test_only_what_was_spoken_of_is_hidden(built: Built) -> None:
    client = open_client(built)
    session, other = (book(built, client, local(4, hour))["id"] for hour in (9, 11))
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/touch-consent/withdrawal", {}))
    desk = built.api(Role.FRONT_DESK)
    assert {one["about_id"] for one in listed(desk)} == {session, other}
    call(desk, client, "reached", about=[session])
    assert [one["about_id"] for one in listed(desk)] == [other]
    refused(
        desk.post(f"clients/{client}/calls", {"outcome": "reached", "about": [str(uuid4())]}),
        400,
        "invalid",
    )


def test_a_consent_is_called_about_within_its_days_of_warning_and_with_a_session_ahead(
    built: Built,
) -> None:
    """Ruling 36: thirty days."""
    zone_slack = 1
    inside, outside = ending(built, 30 - zone_slack), ending(built, 31 + zone_slack)
    alone = registered(built)
    tell(built, alone, consent_for(10))
    found = {one["client_id"] for one in listed(built.api(Role.FRONT_DESK))}
    assert str(inside) in found
    assert str(outside) not in found
    assert str(alone) not in found


def test_pages_follow_each_other_over_all_reasons_without_a_gap(built: Built) -> None:
    for _ in range(2):
        due(built)
        narrowed(built)
        ending(built)
    desk = built.api(Role.FRONT_DESK)
    whole = listed(desk)
    found: list[dict[str, Any]] = []
    query: dict[str, str] = {"page_size": "1"}
    while True:
        page = ok(desk.get("call-list", query))
        found += page["results"]
        if page["next_cursor"] is None:
            break
        query["cursor"] = page["next_cursor"]
    key = [(one["reason"], one["about_id"]) for one in whole]
    assert [(one["reason"], one["about_id"]) for one in found] == key
    assert len(set(key)) == 6


def test_rows_of_the_same_day_follow_each_other_by_reason(built: Built) -> None:
    narrowed(built)
    client = registered(built)
    that_day = date.fromisoformat(local(4)[:10])
    tell(built, client, msgspec.structs.replace(consent(), until=that_day), reviewed())
    book(built, client, local(3, next(HOURS)))
    desk = built.api(Role.FRONT_DESK)
    first = ok(desk.get("call-list", {"page_size": "1"}))
    (after,) = listed(desk, page_size="1", cursor=first["next_cursor"])
    assert [one["reason"] for one in (first["results"][0], after)] == [
        "consent_ending",
        "session_narrowed",
    ]
    assert after["call_by"] == first["results"][0]["call_by"]


def test_a_session_that_is_over_is_no_reason_any_more(built: Built) -> None:
    _, session = narrowed(built)
    ends_at = Session.objects.get(pk=session).ends_at
    with clock.at(ends_at - timedelta(seconds=1)):
        assert reasons(built.api(Role.FRONT_DESK)) == ["session_narrowed"]
    with clock.at(ends_at):
        assert reasons(built.api(Role.FRONT_DESK)) == []


def test_the_statements_are_as_many_for_one_row_as_for_six(built: Built) -> None:
    for _ in range(2):
        due(built)
        narrowed(built)
        ending(built)
    desk = built.api(Role.FRONT_DESK)
    call(desk, UUID(listed(desk)[0]["client_id"]), "no_answer")
    counts = {}
    for size in ("6", "4", "6"):
        with CaptureQueriesContext(connection) as heard:
            ok(desk.get("call-list", {"page_size": size}))
        counts[size] = len(heard)
    assert counts["6"] == counts["4"]


def test_clients_whom_the_caller_does_not_see_are_not_on_it(built: Built) -> None:
    due(built)
    desk, owner = built.api(Role.FRONT_DESK), built.api(Role.OWNER)
    here, there = ({"facility_id": str(one.pk)} for one in (built.east, built.west))
    known = open_client(built, built.west)
    sent = body(built, known, local(4, 12), facility_id=str(built.west.pk))
    ok(owner.post("sessions", sent, key=str(uuid4())), 201)
    ok(owner.post(f"clients/{known}/touch-consent/withdrawal", {}))
    assert reasons(desk) == reasons(owner, **here) == ["recheck_due"]
    assert reasons(owner, **there) == ["session_narrowed"]
    refused(desk.post(f"clients/{known}/calls", {"outcome": "reached"}), 404, "not_found")


def test_everyone_on_the_page_counts_as_read(built: Built) -> None:
    """Ruling 62."""
    client = due(built)
    AccessEntry.objects.all().delete()
    listed(built.api(Role.FRONT_DESK))
    (entry,) = AccessEntry.objects.filter(what="call list")
    assert entry.client_id == client


def test_it_says_what_time_it_is_there_and_from_when_to_call(built: Built) -> None:
    """Ruling 36: quiet hours in the client's own zone."""
    client = due(built)
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        phone="+14155550100",
        zone="America/Los_Angeles",
        facility_ids=(built.east.pk,),
    )
    tell(built, client, ClientDetailsChanged(details=details))
    desk = built.api(Role.FRONT_DESK)
    offset = local(0, 8, zone="America/Los_Angeles")
    with clock.at(at(offset) - timedelta(minutes=1)):
        (one,) = listed(desk)
        assert (one["their_time"], one["call_from"]) == ("07:59", offset)
    with clock.at(at(offset)):
        (one,) = listed(desk)
        assert (one["their_time"], one["call_from"]) == ("08:00", None)
    assert one["client_phone"] == "+14155550100"


def test_the_rows_of_calls_are_made_again_from_the_log(built: Built) -> None:
    client = due(built)
    call(built.api(Role.FRONT_DESK), client, "left_message")
    assert CallTopic.objects.filter(client_id=client).count() == 1
    assert rebuild.compare().differences == []
