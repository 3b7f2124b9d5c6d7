"""A session near the date carries the re-check; a signed note starts what was prescribed."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID, uuid4

from django.core import mail

from practice.clock import clock
from practice.domain.events import Happened
from practice.domain.terms import Credential, Mode, Part, Role, Side, Technique
from practice.due.models import DueItem
from practice.due.services import run_due
from sessions.domain.notes.events import Line, NoteSigned, PartMinutes
from sessions.models import Recheck
from tests.builders import Built, ok
from tests.sessions.calendar.http import book, key, local
from tests.sessions.people import open_client, tell
from tests.sessions.programme.stories import STRETCH, discharged, first_open, measure


def due_in(client_id: UUID) -> int:
    """Days from today to the first re-check."""
    due = Recheck.objects.filter(client_id=client_id).order_by("due_on")[0].due_on
    return (due - clock.now().date()).days


def waiting(client_id: UUID) -> list[str]:
    rows = DueItem.objects.filter(subject=client_id, status=DueItem.Status.WAITING)
    return sorted(rows.values_list("key", flat=True))


def test_a_session_near_the_date_carries_the_re_check_and_nobody_is_called(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    session = book(built, client_id, local(max(due_in(client_id), 1)))
    run_due()
    one = first_open(built, client_id)
    assert (one["status"], one["carried_by"]) == ("planned", session["id"])
    assert mail.outbox == []
    assert any(":after:" in row for row in waiting(client_id))


def test_when_the_carrying_session_is_called_off_the_desk_is_told_in_the_end(
    built: Built,
) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    session = book(built, client_id, local(max(due_in(client_id), 1)))
    run_due()
    cancel = {"by": "client", "reason": "ill"}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/cancellation", cancel, key=key()))
    DueItem.objects.filter(key__contains=":after:").update(due_at=clock.now())
    run_due()
    assert first_open(built, client_id)["status"] == "called"


def test_the_carrying_session_measures_and_nothing_is_left_to_do(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id, days=52)
    book(built, client_id, local(max(due_in(client_id), 1)))
    run_due()
    answer = measure(built.api(Role.PRACTITIONER), client_id, 178)
    assert [one["outcome"] for one in answer["rechecks"]] == ["held"]
    DueItem.objects.filter(key__contains=":after:").update(due_at=clock.now())
    run_due()
    held = Recheck.objects.get(pk=answer["rechecks"][0]["recheck_id"])
    assert held.status == "held"


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
        zone=built.east.zone,
        local_date=date(2026, 1, 5),
        subjective="",
        objective="",
        assessment="",
        plan="",
        minutes=(PartMinutes(part=Part.STRETCHING, minutes=45),),
        not_counted_minutes=0,
        attended_minutes=45,
        lines=(
            Line(
                line_id=uuid4(),
                stretch=STRETCH,
                technique=Technique.ACTIVE_ISOLATED,
                side=Side.RIGHT,
                mode=Mode.HANDS_ON,
            ),
        ),
    )
    tell(built, client_id, Happened(note, now - timedelta(hours=2)))
    rows = {
        one["id"]: one["standing"]
        for one in ok(api.get(f"clients/{client_id}/stretches"))["results"]
    }
    assert rows == {made["id"]: "active", other["id"]: "prescribed"}
