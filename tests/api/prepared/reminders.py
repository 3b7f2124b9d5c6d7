"""A reminder that the desk tells, for the examples."""

from __future__ import annotations

from typing import Any, Final
from uuid import UUID, uuid4

from clients.reminders.models import ContactNotice, Reminder, UnknownReply
from clients.reminders.services.notices import keep_notice, take_reply
from clients.reminders.texting import TextReply
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


def _failed(p: Prepared) -> str:
    """An address of the client that takes no mail."""
    row = keep_notice(
        key=f"refused:{uuid4()}",
        client_id=UUID(p.id("client")),
        kind=ContactNotice.Kind.REFUSED,
        channel="mail",
        address="mara@example.org",
        words="550 no such mailbox",
    )
    return str(row.pk)


def _unknown(p: Prepared) -> str:
    """A text from a number of nobody."""
    take_reply(TextReply(str(uuid4()), "+14155550177", "Is the taxi coming?"))
    return str(UnknownReply.objects.latest("at").pk)


THINGS: Final[dict[str, Make]] = {
    "reminder": _listed,
    "contact_notice": _failed,
    "unknown_reply": _unknown,
}

BEFORE: Final[dict[str, Before]] = {"reminder-done-POST": _by_the_desk}
