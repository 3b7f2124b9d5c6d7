"""The split of a session's hour: what is suggested, and the practitioner's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided, States
from practice.core.terms import SessionPart
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.permissions import evaluated_session
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get
from sessions.session_split.domain.events import PlannedMinutes, SessionSplitSet
from sessions.session_split.domain.settings import SessionSplitSettings
from sessions.session_split.domain.share import SessionSplitFacts
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.session_split.domain.suggestion import (
    check_practitioner_split,
    suggest_split,
)
from sessions.session_split.selectors.facts import SLICES, SplitDayFacts, session_split_facts
from sessions.session_split.selectors.settings import session_split_settings


@dataclass(frozen=True)
class SplitResult:
    """What the command did, for which session, and what was said of the client's day."""

    session: Session
    day: SplitDayFacts
    outcome: Outcome


def _planned(minutes: Mapping[SessionPart, int]) -> tuple[PlannedMinutes, ...]:
    return tuple(PlannedMinutes(part=part, minutes=minutes.get(part, 0)) for part in SessionPart)


def _decide(
    facts: SessionSplitFacts,
    settings: SessionSplitSettings,
    session_id: UUID,
    minutes: Mapping[SessionPart, int],
    reason: str,
    revision: int,
) -> Sequence[SessionSplitSet]:
    unmet_criteria = check_practitioner_split(minutes, facts, settings, reason)
    suggested = {p.part: p.minutes for p in suggest_split(facts, settings).parts}
    return [
        SessionSplitSet(
            session_id=session_id,
            minutes=_planned(minutes),
            suggested=_planned(suggested),
            unmet_criteria=tuple(unmet_criteria),
            reason=reason,
            settings_revision=revision,
        )
    ]


def session_split_set(
    uow: UnitOfWork,
    *,
    session_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> SplitResult:
    """The practitioner's own split of a session; it wins. A repeat changes nothing.

    ``command``: whole minutes by part, the ``reason``, and ``sedentary`` where it is said.
    """
    session = session_get(uow.actor, session_id)
    minutes = {part: command[part.value] for part in SessionPart}
    reason = command.get("reason", "")
    day = SplitDayFacts(sedentary=command.get("sedentary"))
    uow.lock(session.client_id)
    settings, revision = session_split_settings()

    def decide(states: States, ctx: Context) -> Decided:
        judged = evaluated_session(session.client_id, states, session.pk)
        facts = session_split_facts(session.client_id, states, judged, day)
        made = _decide(facts, settings, session.pk, minutes, reason, revision)
        return [] if states[SESSION_SPLITS].get(session.pk) == made[0] else made

    outcome = uow.execute(session.client_id, SLICES, decide, if_match=if_match)
    return SplitResult(session, day, outcome)
