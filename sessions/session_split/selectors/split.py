"""Queries on the session split: what is suggested, and what the practitioner planned."""

from __future__ import annotations

from dataclasses import dataclass

from practice.core.decisions import States
from practice.work import loading
from sessions.assessment.selectors.permissions import EvaluatedSession, evaluated_session
from sessions.calendar.models import Session
from sessions.session_split.domain.events import SessionSplitSet
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.session_split.domain.suggestion import SuggestedSplit, suggest_split
from sessions.session_split.selectors.facts import SLICES, SplitDayFacts, session_split_facts
from sessions.session_split.selectors.settings import session_split_settings


@dataclass(frozen=True)
class SplitOfSession:
    """The suggestion, the practitioner's own split if there is one, the settings' revision."""

    suggested: SuggestedSplit
    practitioner_split: SessionSplitSet | None
    settings_revision: int


def session_split_get(session: Session, day: SplitDayFacts) -> SplitOfSession:
    """The split of one session as suggested now."""
    states = loading.load_states(session.client_id, SLICES)
    return split_of(states, session, evaluated_session(session.client_id, states, session.pk), day)


def split_of(
    states: States, session: Session, judged: EvaluatedSession, day: SplitDayFacts
) -> SplitOfSession:
    """The same of a session that is evaluated already; ``states`` of ``SLICES``."""
    settings, revision = session_split_settings()
    facts = session_split_facts(session.client_id, states, judged, day)
    return SplitOfSession(
        suggest_split(facts, settings), states[SESSION_SPLITS].get(session.pk), revision
    )
