"""The slice ``hour``: the practitioners' own splits by session."""

from __future__ import annotations

from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from sessions.session_split.domain.events import SessionSplitSet

SessionSplits = dict[UUID, SessionSplitSet]


def evolve(builder: SessionSplits, recorded: RecordedEvent) -> None:
    """Fold one event: the latest split of a session counts."""
    if isinstance(recorded.data, SessionSplitSet):
        builder[recorded.data.session_id] = recorded.data


SESSION_SPLITS: Slice[SessionSplits, SessionSplits] = Slice(
    name="session_split", folds=(SessionSplitSet,), initial=dict, evolve=evolve, freeze=dict
)
