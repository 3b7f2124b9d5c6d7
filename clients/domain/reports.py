"""The reports slice: which reports of health history wait for a practitioner's review."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clients.domain.events import HistoryReported, HistoryReviewed
from clients.domain.health import HistoryContent
from practice.domain.decisions import Slice
from practice.domain.events import Recorded


@dataclass(frozen=True, slots=True)
class Reports:
    """The reports not reviewed yet, and the history as last reviewed."""

    open_reports: tuple[UUID, ...] = ()
    reviewed: HistoryContent | None = None


class _Builder:
    def __init__(self) -> None:
        self.open: dict[UUID, None] = {}
        self.reviewed: HistoryContent | None = None
        self.at: datetime | None = None


def _evolve(builder: _Builder, recorded: Recorded) -> None:
    match recorded.data:
        case HistoryReported(report_id=report_id):
            builder.open[report_id] = None
        case HistoryReviewed(content=content, covers=covers):
            for report_id in covers:
                builder.open.pop(report_id, None)
            if builder.at is None or recorded.effective_at >= builder.at:
                builder.reviewed, builder.at = content, recorded.effective_at


REPORTS: Slice[_Builder, Reports] = Slice(
    name="reports",
    folds=(HistoryReported, HistoryReviewed),
    initial=_Builder,
    evolve=_evolve,
    freeze=lambda builder: Reports(tuple(builder.open), builder.reviewed),
)
