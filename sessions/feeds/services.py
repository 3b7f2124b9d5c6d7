"""Making and revoking calendar feeds."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from practice.core.reasons import existing, invalid
from practice.people_and_places.selectors.facilities import facility_get, practitioner_get
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork
from sessions.feeds.models import CalendarFeed
from sessions.feeds.selectors import digest_of_secret, feed_list


@dataclass(frozen=True)
class MadeFeed:
    """A new feed with its secret, which is shown now and never again."""

    row: CalendarFeed
    secret: str


def feed_make(uow: UnitOfWork, *, command: Mapping[str, Any]) -> MadeFeed:
    """A link to the sessions of a practitioner or of a facility. Raises Rejected: 400 where not
    one of both is named, 404 for one that the caller does not see."""
    practitioner_id, facility_id = command.get("practitioner_id"), command.get("facility_id")
    if (practitioner_id is None) == (facility_id is None):
        raise invalid("practitioner_id", "Name a practitioner or a facility, one of the two.")
    if practitioner_id is not None:
        practitioner_get(uow.actor, practitioner_id)
    if facility_id is not None:
        facility_get(uow.actor, facility_id)
    secret = secrets.token_urlsafe(32)
    row = CalendarFeed(digest=digest_of_secret(secret), staff_id=uow.actor.id)
    return MadeFeed(history.create_row(uow, row, command, "calendar feed"), secret)


def feed_revoke(uow: UnitOfWork, *, feed_id: UUID) -> None:
    """End a link at once: one's own, as owner anybody's. 404 for others'."""
    existing(feed_list(uow.actor).filter(pk=feed_id).first(), "calendar feed")
    row = history.lock_row(CalendarFeed, feed_id, "calendar feed")
    history.update_row(uow, row, {"is_revoked": True}, "calendar feed")
