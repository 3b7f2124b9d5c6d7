"""A session near the date carries the re-check; a signed note starts what was prescribed."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID, uuid4

from django.core import mail

from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Mode, Role, SessionPart, Side, Technique
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from sessions.notes.domain.events import NoteLine, NotePartMinutes, NoteSigned
from sessions.stretches.models import Recheck
from tests.builders import Built, ok
from tests.sessions.booking.http import book, key, local
from tests.sessions.people import open_client, tell
from tests.sessions.stretches.stories import STRETCH, discharged, first_open, measure


def due_in(client_id: UUID) -> int:
    """Days from today to the first re-check."""
    due = Recheck.objects.filter(client_id=client_id).order_by("due_on")[0].due_on
    return (due - clock.now().date()).days


def waiting(client_id: UUID) -> list[str]:
    rows = ScheduledJob.objects.filter(subject=client_id, status=ScheduledJob.Status.WAITING)
    return sorted(rows.values_list("occasion", flat=True))


def test_a_session_near_the_date_carries_the_re_check_and_nobody_is_called(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    session = book(built, client_id, local(max(due_in(client_id), 1)))
    run_due_jobs()
    one = first_open(built, client_id)
    assert (one["status"], one["covered_by_session_id"]) == ("planned", session["id"])
    assert mail.outbox == []
    assert any(row.startswith("after:") for row in waiting(client_id))


def test_when_the_carrying_session_is_called_off_the_desk_is_told_in_the_end(
    built: Built,
) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    session = book(built, client_id, local(max(due_in(client_id), 1)))
    run_due_jobs()
    cancel = {"by": "client", "reason": "ill"}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/cancellation", cancel, key=key()))
    ScheduledJob.objects.filter(occasion__startswith="after:").update(due_at=clock.now())
    run_due_jobs()
    assert first_open(built, client_id)["status"] == "on_call_list"


def test_the_carrying_session_measures_and_nothing_is_left_to_do(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    book(built, client_id, local(max(due_in(client_id), 1)))
    run_due_jobs()
    answer = measure(built.api(Role.PRACTITIONER), client_id, 178)
    assert [one["outcome"] for one in answer["rechecks"]] == ["maintained"]
    ScheduledJob.objects.filter(occasion__startswith="after:").update(due_at=clock.now())
    run_due_jobs()
    maintained = Recheck.objects.get(pk=answer["rechecks"][0]["recheck_id"])
    assert maintained.status == "maintained"


def test_a_signed_note_starts_a_prescribed_stretch_that_was_done(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    wanted = {"stretch": STRETCH, "side": "right"}
    made = ok(api.post(f"clients/{client_id}/stretches", wanted), 201)
    other = ok(
        api.post(f"clients/{client_id}/stretches", {"stretch": STRETCH, "side": "left"}), 201
    )
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    now = clock.now()
    note = NoteSigned(
        note_id=uuid4(),
        session_id=uuid4(),
        practitioner_id=paula.pk,
        credential=Credential.PHYSICAL_THERAPIST,
        facility_id=built.east.pk,
        started_at=now - timedelta(hours=2),
        ended_at=now - timedelta(hours=1),
        booked_minutes=60,
        zone=built.east.zone,
        local_date=date(2026, 1, 5),
        subjective="",
        objective="",
        assessment="",
        plan="",
        minutes=(NotePartMinutes(part=SessionPart.STRETCHING, minutes=45),),
        not_counted_minutes=0,
        attended_minutes=45,
        lines=(
            NoteLine(
                line_id=uuid4(),
                stretch=STRETCH,
                technique=Technique.ACTIVE_ISOLATED,
                side=Side.RIGHT,
                mode=Mode.HANDS_ON,
            ),
        ),
    )
    tell(built, client_id, DatedEvent(note, now - timedelta(hours=2)))
    rows = {
        one["id"]: one["status"] for one in ok(api.get(f"clients/{client_id}/stretches"))["results"]
    }
    assert rows == {made["id"]: "active", other["id"]: "prescribed"}
