"""Papers as a role may read them: what for and what the answer says to practitioners and owner."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

import msgspec

from clients.identity.display_names import with_display_names
from clients.papers.domain.event_texts import paper_title
from clients.papers.domain.holding import HeldSession
from clients.papers.domain.orders_of_answers import answered_without_order, refusal_restricts
from clients.papers.domain.paper import Paper, PaperStep, is_expiring, is_overdue
from clients.papers.domain.terms import PaperStatus, PaperStepKind
from clients.papers.expiring import expiring_of
from clients.papers.models import Paper as PaperRow
from clients.papers.output_serializers import PaperListOutputSerializer, PaperOutputSerializer
from clients.papers.selectors import LocalDays, held_up, paper_settings, papers_of
from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.http.roles import CLINICAL
from practice.work.unit_of_work import Outcome, UnitOfWork

NO_ORDER = Reason(
    code="paper.order_not_filed",
    text="The answer alone opens nothing: a practitioner files it as an order, and links it here.",
    source="practice policy",
)
REFUSED = Reason(
    code="paper.refusal_restricts",
    text="What was refused is filed as a restriction, linked here: it closes hands-on work until a"
    " practitioner lifts it.",
    source="practice policy",
)


def serialize_papers(role: Role, rows: Sequence[PaperRow]) -> list[dict[str, Any]]:
    """Papers with names and what waits for each: a few queries for them all."""
    named = with_display_names(rows)
    holding, days, lead = held_up(named), LocalDays(), paper_settings().expiring_days
    shown = []
    for row in named:
        paper, today = msgspec.convert(row.paper, Paper), days.of(row.zone)
        waiting = row.status == PaperStatus.WAITING
        shown.append(
            {
                **_content(role, row, paper),
                "waiting_days": (today - row.asked_on).days if waiting else None,
                "overdue": is_overdue(row.status, row.needed_by, today),
                "expiring": is_expiring(row.expires_on, today, lead),
                "holds_up": [_held(role, one) for one in holding.get(row.pk, ())],
            }
        )
    return PaperOutputSerializer(shown, many=True).data  # type: ignore[return-value]


def serialize_client_papers(role: Role, client_id: UUID, version: int) -> Any:
    """The client's papers, and what else on record ends soon."""
    rows = papers_of(client_id)
    shown = {
        "results": serialize_papers(role, rows),
        "expiring": expiring_of([client_id], LocalDays(), paper_settings().expiring_days),
        "version": version,
    }
    return PaperListOutputSerializer(shown).data


def render_paper(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The paper as it stands after a command; the ETag is that of the whole record."""
    row = PaperRow.objects.get(pk=outcome.entity_id)
    (shown,) = serialize_papers(uow.actor.role, [row])
    return Representation(shown, outcome.version)


def _warnings(paper: Paper) -> list[Reason]:
    if answered_without_order(paper):
        return [NO_ORDER]
    return [REFUSED] if refusal_restricts(paper) else []


def _content(role: Role, row: PaperRow, paper: Paper) -> dict[str, Any]:
    content = paper.content
    shown = {
        "id": row.pk,
        "client_id": row.client_id,
        "client_name": row.client_name,  # type: ignore[attr-defined]
        "kind": content.kind,
        "title": paper_title(content.kind, content.title),
        "status": row.status,
        "outcome": row.outcome,
        "asked_of": msgspec.to_builtins(content.asked_of),
        "asked_on": row.asked_on,
        "needed_by": row.needed_by,
        "expires_on": row.expires_on,
        "sent_on": row.sent_on,
        "reminded_on": row.reminded_on,
        "answered_on": row.answered_on,
        "order_ids": paper.order_ids,
        "warnings": shown_reasons(role, _warnings(paper)),
        "steps": [_step(role, one) for one in paper.steps],
        "corrections": paper.corrections,
        "version": row.version,
    }
    if role in CLINICAL:
        shown["asked_for"] = msgspec.to_builtins(content.asked_for)
    return shown


def _step(role: Role, step: PaperStep) -> dict[str, Any]:
    hidden = step.kind is PaperStepKind.ANSWERED and role not in CLINICAL
    return {**msgspec.structs.asdict(step), "words": "" if hidden else step.words}


def _held(role: Role, one: HeldSession) -> dict[str, Any]:
    shown = {
        "session_id": one.session_id,
        "starts_at": one.starts_at.astimezone(zone_named(one.zone)).isoformat(),
        "hands_on": one.hands_on,
        "reasons": shown_reasons(role, one.reasons),
    }
    return {**shown, "stretches": one.stretches} if role in CLINICAL else shown
