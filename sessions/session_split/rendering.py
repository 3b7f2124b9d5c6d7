"""The split of a session's time as shown: the suggestion, the practitioner's own."""

from __future__ import annotations

from typing import Any

import msgspec

from practice.core.terms import Role
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.models import Session
from sessions.session_split.domain.events import SessionSplitSet
from sessions.session_split.selectors.split import SplitOfSession, session_split_get
from sessions.session_split.serializers.split import (
    SessionSplitOutputSerializer,
    serialize_loading_criteria,
)
from sessions.session_split.services import SplitResult
from sessions.stretches.selectors.prescriptions import prescriptions_of


def _serialize_practitioner_split(
    role: Role, practitioner_split: SessionSplitSet | None
) -> dict[str, Any] | None:
    if practitioner_split is None:
        return None
    return {
        "minutes": {one.part: one.minutes for one in practitioner_split.minutes},
        "reason": practitioner_split.reason,
        "unmet_criteria": shown_reasons(role, practitioner_split.unmet_criteria),
    }


def serialize_session_split(role: Role, session: Session, found: SplitOfSession) -> Any:
    """A split as it is sent."""
    suggested = found.suggested
    on_programme = prescriptions_of(session.client_id).filter(status__in=("prescribed", "active"))
    return SessionSplitOutputSerializer(
        {
            "session_id": session.pk,
            "booked_minutes": suggested.booked_minutes,
            "parts": [msgspec.structs.asdict(one) for one in suggested.parts],
            "reasons": shown_reasons(role, suggested.reasons),
            "loading_criteria": serialize_loading_criteria(role, suggested),
            "practitioner_split": _serialize_practitioner_split(role, found.practitioner_split),
            "settings_revision": found.settings_revision,
            "stretches": [
                {
                    "prescription_id": str(row.pk),
                    "stretch": row.stretch,
                    "name": row.name,
                    "side": row.side,
                }
                for row in on_programme.order_by("prescribed_at", "id")
            ],
        }
    ).data


def render_session_split(uow: UnitOfWork, done: SplitResult) -> Representation:
    """The split as it stands after a command."""
    found = session_split_get(done.session, done.day)
    shown = serialize_session_split(uow.actor.role, done.session, found)
    return Representation(shown, done.outcome.version)
