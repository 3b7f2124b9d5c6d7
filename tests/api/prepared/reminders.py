"""A reminder that the desk tells, for the examples."""

from __future__ import annotations

from typing import Any, Final
from uuid import UUID

from clients.reminders.models import Reminder
from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared
from tests.sessions.people import reminder_of


def _listed(p: Prepared) -> str:
    """One that is told by a person."""
    row = reminder_of(UUID(p.id("client")), UUID(p.id("session")), "listed")
    whose: dict[str, Any] = {"addressee": "desk"}
    if p.role is Role.PRACTITIONER:
        own = p.built.staff[Role.PRACTITIONER].practitioner_id
        whose = {"addressee": "practitioner", "practitioner_id": own}
    Reminder.objects.filter(pk=row.pk).update(channel="list", **whose)
    return str(row.pk)


def _by_the_desk(p: Prepared) -> None:
    p.role = Role.FRONT_DESK


THINGS: Final[dict[str, Make]] = {"reminder": _listed}

BEFORE: Final[dict[str, Before]] = {"reminder-done-POST": _by_the_desk}
