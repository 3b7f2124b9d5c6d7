"""The session split slice: the practitioners' own splits by session."""

from __future__ import annotations

from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from sessions.session_split.domain import events

SessionSplits = dict[UUID, events.SessionSplitSet]


SESSION_SPLITS: Slice[SessionSplits, SessionSplits] = Slice(
    "session_split", initial=dict, freeze=dict, watches=(events,)
)


@SESSION_SPLITS.on(events.SessionSplitSet)
def split_set(builder: SessionSplits, event: events.SessionSplitSet, meta: RecordedEvent) -> None:
    builder[event.session_id] = event  # The latest split of a session counts.
