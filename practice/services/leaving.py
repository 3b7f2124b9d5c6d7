"""What should be known before a record is erased or someone leaves: warnings, no refusals."""

from __future__ import annotations

from uuid import UUID

from practice.domain.reasons import Audience, Reason
from practice.due.models import DueItem
from practice.models import Practitioner, Staff
from practice.services import hooks

POLICY = "practice policy"


def what_stands_open(client_id: UUID) -> list[Reason]:
    """The open business of a record as every floor knows it, and its work that falls due."""
    waiting = DueItem.objects.filter(subject=client_id, status=DueItem.Status.WAITING)
    count = waiting.exclude(kind="destroy_key").count()
    due = Reason(
        code="erasure.due_work",
        text=f"Due work waits in this record ({count}): it will not be done.",
        source=POLICY,
        audience=Audience.EVERYONE,
    )
    return [*hooks.open_business(client_id), *([due] if count else [])]


def of_leaver(practitioner: Practitioner) -> list[Reason]:
    """What is left to do about a practitioner who has left."""
    if practitioner.is_active:
        return []
    found = []
    if count := hooks.count_sessions_ahead(practitioner.pk):
        text = (
            f"{count} booked sessions with {practitioner.name} are still ahead: move or cancel"
            f" them. GET /sessions?practitioner_id={practitioner.pk} lists them."
        )
        found.append(Reason(code="sessions_ahead", text=text, source=POLICY))
    account = Staff.objects.filter(practitioner=practitioner, is_active=True).first()
    if account is not None:
        text = (
            f"Her account {account.username} can still sign in: end it with is_active false at"
            f" /staff/{account.pk}."
        )
        found.append(Reason(code="account_active", text=text, source=POLICY))
    return found


def of_account(account: Staff) -> list[Reason]:
    """What is left to do about an account that has ended."""
    practitioner = account.practitioner
    if practitioner is None:
        return []
    if account.is_active:
        text = (
            f"{practitioner.name} is still inactive and is not booked: set is_active true at"
            f" /practitioners/{practitioner.pk} if she is back."
        )
        back = Reason(code="practitioner_inactive", text=text, source=POLICY)
        return [] if practitioner.is_active else [back]
    if not practitioner.is_active:
        return of_leaver(practitioner)
    ahead = hooks.count_sessions_ahead(practitioner.pk)
    text = (
        f"{practitioner.name} can still be booked ({ahead} booked sessions are ahead): if she has"
        f" left too, set is_active false at /practitioners/{practitioner.pk}."
    )
    return [Reason(code="still_bookable", text=text, source=POLICY)]
