"""The slice ``hour``: the practitioners' own splits by session."""

from __future__ import annotations

from uuid import UUID

from practice.domain.decisions import Slice
from practice.domain.events import Recorded
from sessions.domain.hour.events import HourSplit

Splits = dict[UUID, HourSplit]


def evolve(builder: Splits, recorded: Recorded) -> None:
    """Fold one event: the latest split of a session counts."""
    if isinstance(recorded.data, HourSplit):
        builder[recorded.data.session_id] = recorded.data


HOUR: Slice[Splits, Splits] = Slice(
    name="hour", folds=(HourSplit,), initial=dict, evolve=evolve, freeze=dict
)
