"""Clients who may be written to, and the hours in which the practice does."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from clients.identity.domain.contact import ContactBy, Phone
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.reminders.models import Reminder
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.policy.models import PracticeSetting
from tests.builders import Built, ok
from tests.sessions.booking.http import body, key, local
from tests.sessions.people import open_client, practice_writes, tell

NUMBER = "+12155550133"


def reachable(built: Built, **changes: Any) -> UUID:
    """A client by mail, unless something else is said."""
    practice_writes()
    client_id = open_client(built)
    details: dict[str, Any] = {
        "given_name": "Rosa",
        "family_name": "Marsh",
        "email": "rosa@example.org",
        "phone": "",
        "zone": built.east.zone,
        "contact_by": ContactBy.MAIL,
        "facility_ids": (built.east.pk,),
        **changes,
    }
    tell(built, client_id, ClientDetailsChanged(details=ClientDetails(**details)))
    return client_id


def by_text(built: Built, number: str = NUMBER) -> UUID:
    """A client by text, at a number given for it."""
    phones = (Phone(number=number, texts=True),)
    return reachable(built, contact_by=ContactBy.TEXT, phones=phones, phone=number)


def rule(kind: str, **values: Any) -> None:
    """A setting of a kind as the practice has it."""
    for name, value in values.items():
        PracticeSetting.objects.filter(group=f"remind_{kind}", key=name).update(value=value)


def on_day(days: int, hour: int = 11) -> datetime:
    """An instant on the facility's clock."""
    return datetime.fromisoformat(local(days, hour))


def tick(at: datetime) -> None:
    """All that is due at an instant."""
    with clock.at(at):
        run_due_jobs()


def of_kind(kind: str) -> list[Reminder]:
    """The reminders of a kind, the first made first."""
    return list(Reminder.objects.filter(kind=kind).order_by("made_at", "id"))


def job_states(kind: str) -> list[str]:
    """How the jobs of a kind stand."""
    rows = ScheduledJob.objects.filter(kind=f"remind_{kind}").order_by("id")
    return list(rows.values_list("status", flat=True))


def booked_tomorrow(built: Built, client_id: UUID, days: int = 5, hour: int = 15) -> dict[str, Any]:
    """A session some days ahead, by a desk that signed in once."""
    desk = vars(built).get("desk") or built.api(Role.FRONT_DESK)
    vars(built)["desk"] = desk
    sent = body(built, client_id, local(days, hour))
    booked: dict[str, Any] = ok(desk.post("sessions", sent, key=key()), 201)
    return booked
