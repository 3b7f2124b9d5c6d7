"""What planning several sessions anew did, as shown."""

from __future__ import annotations

from collections import Counter
from typing import Any

from clients.identity.display_names import with_display_names
from practice.core.localtime import zone_named
from practice.core.terms import Role
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.people_and_places.selectors.kept import facility_names, practitioner_names
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.models import Session
from sessions.replanning.domain.replanning import ReplanOutcome, ReplanResult
from sessions.replanning.domain.words import told
from sessions.replanning.serializers import ReplanOutputSerializer
from sessions.replanning.services import ReplanOutcomes
from sessions.series.domain.answers import refusal_member


def render_replanned(uow: UnitOfWork, done: ReplanOutcomes) -> Representation:
    """What became of each session, as the role may read it."""
    ids = [one.session_id for one in done.outcomes]
    rows = {row.pk: row for row in with_display_names(Session.objects.filter(pk__in=ids))}
    results = [one.result for one in done.outcomes]
    count = Counter(results)
    shown = {
        "preview": done.preview,
        "text": told(results, done.left, preview=done.preview),
        **{one.value: count[one] for one in ReplanResult},
        "left": done.left,
        "after": ids[-1] if done.left else None,
        "sessions": [_one(uow.actor.role, one, rows[one.session_id]) for one in done.outcomes],
    }
    return Representation(ReplanOutputSerializer(shown).data)


def _one(role: Role, one: ReplanOutcome, row: Any) -> dict[str, Any]:
    return {
        "session_id": one.session_id,
        "client_id": one.client_id,
        "client_name": row.client_name,
        "client_phone": row.client_phone,
        "starts_at": row.starts_at.astimezone(zone_named(row.zone)),
        "practitioner_name": practitioner_names().get(row.practitioner_id, ""),
        "facility_name": facility_names().get(row.facility_id, ""),
        "result": one.result,
        "flagged": one.result is not ReplanResult.AS_PLANNED,
        "mode_before": one.mode_before,
        "mode": one.mode,
        "hands_on_before": one.hands_on_before,
        "hands_on": one.hands_on,
        "reasons": shown_reasons(role, one.reasons),
        "refusal": refusal_member(one.refusal, role),
        "warnings": shown_reasons(role, one.warnings),
    }
