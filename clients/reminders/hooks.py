"""The kinds of reminders, by the features that know what they are about."""

from __future__ import annotations

from clients.reminders.domain.kinds import ReminderKind
from practice.core.appspec import ExtensionPoint

REMINDER_KINDS = ExtensionPoint[ReminderKind]("kinds of reminders")


def kind_named(name: str) -> ReminderKind:
    """A kind by its name. Raises LookupError."""
    for one in REMINDER_KINDS.answers:
        if one.name == name:
            return one
    raise LookupError(f"no kind of reminder is called {name!r}")


def kind_of_job(job_kind: str) -> ReminderKind:
    """The kind whose jobs are of a kind."""
    return kind_named(job_kind.removeprefix("remind_"))
