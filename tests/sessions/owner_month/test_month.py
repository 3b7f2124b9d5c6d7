"""The owner's month: each figure is what the list behind its link shows, in so many statements."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.reminders.models import UnknownReply
from clients.reminders.services.notices import take_reply
from clients.reminders.texting import TextReply
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.practitioners import Licence
from sessions.calendar.models import Session
from sessions.notes.models import Note
from sessions.stretches.models import Recheck
from tests.api.prepared import BEFORE, NOW, Prepared, someone_to_call
from tests.api.prepared.calendar import booked
from tests.api.prepared.sessions import arrived
from tests.builders import ok, refused
from tests.sessions.booking.http import WELL

pytestmark = pytest.mark.django_db
MARCH = {"month": "2026-03"}


@pytest.fixture
def p() -> Iterator[Prepared]:
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        yield Prepared(stack)


def month(p: Prepared, **query: str) -> dict[str, Any]:
    found: dict[str, Any] = ok(p.api(Role.OWNER).get("owner/month", query or MARCH))
    return found


def behind(p: Prepared, link: str) -> list[dict[str, Any]]:
    """What the list behind a link shows."""
    rows: list[dict[str, Any]] = ok(p.api(Role.OWNER).get(link.removeprefix("/api/v1/")))["results"]
    return rows


def test_each_headline_counts_what_its_list_shows(p: Prepared) -> None:
    someone_to_call(p)  # A narrowed session.
    p.id("incident")
    JurisdictionLimit.objects.filter(pk=p.id("limit")).update(verified_on=None)
    Note.objects.update(is_outside=True)
    take_reply(TextReply("r1", "+12155550177", "Is it on?"))
    take_reply(TextReply("r2", "+12155550178", "Taxi?"))
    UnknownReply.objects.filter(key="r2").update(settled=UnknownReply.Settled.DISCARDED)
    found = month(p)
    for headline in (
        found["limits_unverified"],
        found["sessions_narrowed"],
        found["notes_outside_permission"],
        found["notes_unsigned"],
        found["incidents"]["open"],
    ):
        assert headline["count"] == len(behind(p, headline["link"]))
    assert found["replies_of_nobody"]["count"] == 1
    assert [one["words"] for one in behind(p, found["replies_of_nobody"]["link"])] == ["Is it on?"]
    assert found["limits_unverified"]["count"] == 1
    assert found["sessions_narrowed"]["count"] == 1
    assert found["incidents"]["happened"] == len(behind(p, found["incidents"]["link"])) == 1
    assert found["incidents"]["by_kind"] == {"fall": 1}
    JurisdictionLimit.objects.update(verified_on=date(2026, 1, 1))
    assert month(p)["limits_unverified"]["count"] == 0


def test_a_late_entry_with_who_never_worked_there_is_shown_to_the_owner(p: Prepared) -> None:
    marco = p.built.practitioners[Credential.MASSAGE_THERAPIST]
    late = {"attendance": "attended", "answers": WELL}
    booked(p, "2026-03-05T10:00:00-05:00", practitioner_id=str(marco.pk), **late)
    assert month(p)["sessions_entered_elsewhere"]["count"] == 0, "they work there"
    marco.facilities.remove(p.built.east)
    session = booked(p, "2026-03-06T10:00:00-05:00", practitioner_id=str(marco.pk), **late)
    found = month(p)["sessions_entered_elsewhere"]
    (row,) = behind(p, found["link"])
    assert (found["count"], row["id"]) == (1, session)
    assert "practitioner_elsewhere" in {one["code"] for one in row["warnings"]}
    assert month(p, month="2026-02")["sessions_entered_elsewhere"]["count"] == 0


def test_work_outside_its_permission_of_the_month_and_of_no_other(p: Prepared) -> None:
    p.id("visit")
    Note.objects.update(is_outside=True)
    found = month(p)["notes_outside_permission"]
    assert found["count"] == len(behind(p, found["link"])) == 1
    assert month(p, month="2026-02")["notes_outside_permission"]["count"] == 0
    assert month(p, month="2026-04")["notes_outside_permission"]["count"] == 0


def test_red_flags_said_and_who_lifted_them(p: Prepared) -> None:
    booked(p, "2026-03-12T10:00:00-04:00")
    arrived(p, new_symptoms=["new_swelling"])
    before = month(p)["red_flags"]
    assert (before["said"], before["lifted"], before["by_kind"]) == (1, 0, {"new_swelling": 1})
    body = {"red_flag": "new_swelling", "found": "A bruise, seen by the physician."}
    p.post(f"sessions/{p.id('session')}/red-flag-clearance", body, Role.PRACTITIONER)
    found = month(p)["red_flags"]
    assert (found["said"], found["lifted"]) == (1, 1)
    (by,) = found["lifted_by"]
    assert by["practitioner_id"] == str(p.built.actor(Role.PRACTITIONER).practitioner_id)
    assert by["practitioner_name"]
    assert [one["id"] for one in behind(p, found["link"])] == [p.id("session")]
    assert month(p, month="2026-04")["red_flags"]["said"] == 0


def test_what_was_said_again_at_the_same_session_is_one_flag(p: Prepared) -> None:
    arrived(p, new_symptoms=["new_swelling"])
    (said,) = Session.objects.get(pk=p.id("session")).red_flags
    more = {**WELL, "new_symptoms": ["new_swelling", "fever"]}
    p.post(f"sessions/{p.id('session')}/arrival", more, Role.FRONT_DESK)
    kept = Session.objects.get(pk=p.id("session")).red_flags
    assert kept[0] == said
    assert [one["flag"] for one in kept] == ["new_swelling", "fever"]


def test_a_day_that_is_taken_back_takes_its_red_flags_with_it(p: Prepared) -> None:
    arrived(p, new_symptoms=["new_swelling"])
    body = {"status": "booked", "reason": "it was another client"}
    p.post(f"sessions/{p.id('session')}/correction", body, Role.PRACTITIONER)
    assert month(p)["red_flags"]["said"] == 0


def test_an_incident_that_was_none_is_not_counted(p: Prepared) -> None:
    path = f"clients/{p.id('client')}/incidents/{p.id('incident')}/in-error"
    p.post(path, {"reason": "another client"})
    found = month(p)["incidents"]
    assert (found["happened"], found["by_kind"], found["open"]["count"]) == (0, {}, 0)


def test_notes_of_sessions_that_are_over_and_not_signed_by_practitioner(p: Prepared) -> None:
    arrived(p)
    assert month(p)["notes_unsigned"]["count"] == 0, "it is not over"
    p.stack.enter_context(clock.at(NOW + timedelta(hours=3)))
    found = month(p)["notes_unsigned"]
    assert found["count"] == 1
    (one,) = found["by_practitioner"]
    assert (one["count"], len(behind(p, one["link"]))) == (1, 1)
    assert found["link"] == "/api/v1/notes/unsigned?from=2026-03-01&to=2026-03-31"
    assert [one["session_id"] for one in behind(p, found["link"])] == [p.id("session")]
    for other in ("2026-02", "2026-04"):
        elsewhere = month(p, month=other)["notes_unsigned"]
        assert elsewhere["count"] == len(behind(p, elsewhere["link"])) == 0


def test_notes_that_await_a_co_signature_are_counted_as_their_list_shows_them(p: Prepared) -> None:
    BEFORE["note-co-signature-POST"](p)
    found = month(p)["notes_awaiting_co_signature"]
    assert found["count"] == len(behind(p, found["link"])) == 1
    for other in ("2026-02", "2026-04"):
        elsewhere = month(p, month=other)["notes_awaiting_co_signature"]
        assert elsewhere["count"] == len(behind(p, elsewhere["link"])) == 0
    path = f"sessions/{p.id('session')}/note/co-signature"
    p.post(path, {}, Role.PRACTITIONER, match=p.match)
    assert month(p)["notes_awaiting_co_signature"]["count"] == 0


def test_hours_are_those_of_signed_sessions_by_practitioner_and_room(p: Prepared) -> None:
    p.id("visit")
    (hours,) = month(p)["practitioner_hours"]
    (session,) = behind(p, hours["link"])
    note = Note.objects.get(session_id=session["id"])
    assert (hours["sessions"], hours["attended_minutes"]) == (1, note.current_attended_minutes)
    row = Session.objects.get(pk=session["id"])
    length = (row.ends_at - row.starts_at) // timedelta(minutes=1)
    assert hours["booked_minutes"] == length > 0
    (room,) = month(p)["room_hours"]
    assert (room["sessions"], room["booked_minutes"]) == (1, length)
    Note.objects.update(entered_in_error="another client")
    assert month(p)["practitioner_hours"][0]["attended_minutes"] == 0


@pytest.mark.parametrize(
    ("status", "due", "figure"),
    [
        ("maintained", "2026-03-05", "maintained"),
        ("regressed", "2026-03-05", "regressed"),
        ("planned", "2026-03-08", "overdue"),
        ("on_call_list", "2026-03-08", "overdue"),
        ("planned", "2026-03-09", ""),
        ("skipped", "2026-03-05", ""),
    ],
)
def test_re_checks_of_the_month_and_what_became_of_them(
    p: Prepared, status: str, due: str, figure: str
) -> None:
    """The day itself is not past."""
    Recheck.objects.exclude(pk=p.id("recheck")).delete()
    Recheck.objects.update(status=status, due_on=date.fromisoformat(due))
    found = month(p)["rechecks"]
    (one,) = found["by_practitioner"]
    for name in ("maintained", "regressed", "overdue"):
        assert found[name] == one[name] == int(name == figure)
    assert found["due"] == len(behind(p, found["link"])) == len(behind(p, one["link"])) == 1
    assert month(p, month="2026-04")["rechecks"]["due"] == 0


def test_licences_that_end_in_the_month_unless_they_are_renewed(p: Prepared) -> None:
    who = p.built.practitioners[Credential.PHYSICAL_THERAPIST]
    Licence.objects.update(expires_on=date(2027, 1, 1))
    one = Licence.objects.filter(practitioner=who).first()
    assert one is not None
    for day, expected in (
        ("2026-02-28", 0),
        ("2026-03-01", 1),
        ("2026-03-31", 1),
        ("2026-04-01", 0),
    ):
        Licence.objects.filter(pk=one.pk).update(expires_on=date.fromisoformat(day))
        found = month(p)["licences_expiring"]
        assert [row["expires_on"] for row in found] == [day] * expected
    Licence.objects.filter(pk=one.pk).update(expires_on=date(2026, 3, 31))
    renewed = Licence.objects.create(
        practitioner=who,
        jurisdiction=one.jurisdiction,
        credential=one.credential,
        number=str(uuid4()),
        valid_from=date(2026, 4, 1),
        expires_on=date(2028, 3, 31),
    )
    assert month(p)["licences_expiring"] == []
    renewed.delete()
    who.is_active = False
    who.save()
    assert month(p)["licences_expiring"] == [], "who left needs none"


def test_the_month_is_the_present_one_unless_it_is_named(p: Prepared) -> None:
    found = ok(p.api(Role.OWNER).get("owner/month"))
    assert (found["month"], found["from"], found["to"]) == ("2026-03", "2026-03-01", "2026-03-31")
    assert month(p, month="2028-02")["to"] == "2028-02-29"
    for wrong in ("2026-13", "2026-00", "2026-3", "march"):
        refused(p.api(Role.OWNER).get("owner/month", {"month": wrong}), 400, "invalid")
    refused(p.api(Role.PRACTITIONER).get("owner/month"), 403, "forbidden")


def test_a_full_month_takes_the_statements_of_an_empty_one(p: Prepared) -> None:
    def statements(name: str) -> int:
        with CaptureQueriesContext(connection) as heard:
            month(p, month=name)
        return len(heard)

    p.id("visit")
    p.id("recheck")
    p.id("incident")
    statements("2026-03")
    assert statements("2026-03") == statements("2020-01")
