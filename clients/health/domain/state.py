"""The health slice: the history as last reviewed, and the reports that wait for a review."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from clients.health.domain.content import HistoryContent
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.identity.domain.latest import Latest
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class OpenReport:
    """A history as it was told, which no review has taken in yet."""

    report_id: UUID
    content: HistoryContent


@dataclass(frozen=True, slots=True)
class HealthState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    reviewed: HistoryContent | None
    open_reports: tuple[OpenReport, ...]
    version: int


class _Builder:
    def __init__(self) -> None:
        self.reviewed: Latest[HistoryContent | None] = Latest(None)
        self.reports: dict[UUID, HistoryContent] = {}
        self.covered: set[UUID] = set()
        self.version = 0


def _evolve(builder: _Builder, recorded: RecordedEvent) -> None:
    builder.version = max(builder.version, recorded.version)
    match recorded.data:
        case HistoryReported(report_id=report_id, content=content):
            builder.reports[report_id] = content
        case HistoryReviewed(content=content, covers=covers):
            builder.reviewed.offer(content, recorded)
            builder.covered.update(covers)


def _freeze(builder: _Builder) -> HealthState:
    return HealthState(
        reviewed=builder.reviewed.value,
        open_reports=tuple(
            OpenReport(key, content)
            for key, content in builder.reports.items()
            if key not in builder.covered
        ),
        version=builder.version,
    )


HEALTH: Slice[_Builder, HealthState] = Slice(
    name="health",
    folds=(HistoryReported, HistoryReviewed),
    initial=_Builder,
    evolve=_evolve,
    freeze=_freeze,
)
