"""A person has told what stands on the list."""

from __future__ import annotations

from uuid import UUID

from clients.reminders.models import Reminder
from clients.reminders.selectors import reminder_get
from practice.core.reasons import Rejected
from practice.work.unit_of_work import UnitOfWork


def reminder_done(uow: UnitOfWork, *, reminder_id: UUID) -> Reminder:
    """Take it off the list. Again, it stays as it was. Raises Rejected 409 for what goes by
    itself."""
    row = reminder_get(uow.actor, reminder_id)
    if row.status not in (Reminder.Status.LISTED, Reminder.Status.DONE):
        raise Rejected("not_on_the_list", f"This reminder is {row.status}: nobody has to tell it.")
    Reminder.objects.filter(pk=row.pk, status=Reminder.Status.LISTED).update(
        status=Reminder.Status.DONE, done_at=uow.now, done_by=uow.actor.id
    )
    row.refresh_from_db()
    return row
