"""What a change of touch consent, provider preference, birth date or guardian did to booked
sessions, told with its answer.

Features above know the sessions and judged them when the change was recorded; here it is asked
for and shown, and judged by nobody again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from rest_framework import serializers

from clients.identity.domain.booked_session import BookedSession
from practice.core.appspec import ExtensionPoint
from practice.core.localtime import zone_named
from practice.core.terms import Role
from practice.http.fields import InstantField
from practice.http.problems import ReasonSerializer
from practice.http.reasons import shown_reasons
from practice.http.serializers import RecordSerializer
from practice.work.unit_of_work import Outcome, UnitOfWork

BOOKED_SESSIONS = ExtensionPoint[Callable[[Outcome, datetime], Sequence[BookedSession]]](
    "what a change of consent, preference or details did to booked sessions"
)
"""``booked(outcome, now)``: the sessions of the client that have not ended, by start."""


class BookedSessionOutputSerializer(RecordSerializer):
    """A session to come, before and after."""

    session_id = serializers.UUIDField(help_text="Id of the session.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    was = serializers.CharField(help_text="By hand before: `all`, `part` or `nothing`.")
    now = serializers.CharField(help_text="By hand now, as it stands planned.")
    changed = serializers.BooleanField(help_text="It is another than it was.")
    may_be = serializers.CharField(
        help_text="By hand if it is planned anew: nothing turns hands-on by itself."
    )
    text = serializers.CharField(help_text="The same in a sentence.")
    reasons = ReasonSerializer(many=True, help_text="Why not all, as the caller may read it.")


def sessions_after(uow: UnitOfWork, outcome: Outcome) -> Any:
    """What a change did to the sessions to come, as the caller may read it."""
    booked = [one for answer in BOOKED_SESSIONS.answers for one in answer(outcome, uow.now)]
    shown = [_shown(uow.actor.role, one) for one in booked]
    return BookedSessionOutputSerializer(shown, many=True).data


def _shown(role: Role, one: BookedSession) -> dict[str, Any]:
    return {
        "session_id": one.session_id,
        "starts_at": one.starts_at.astimezone(zone_named(one.zone)),
        "was": one.was,
        "now": one.now,
        "changed": one.was != one.now,
        "may_be": one.may_be,
        "text": one.text,
        "reasons": shown_reasons(role, one.reasons),
    }
