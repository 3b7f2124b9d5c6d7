"""The health slice: the history as last reviewed, and the reports that wait for a review."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from clients.health.domain import events
from clients.health.domain.content import HistoryContent
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
    "health", initial=_Builder, freeze=_freeze, watches=(events,)
)


@HEALTH.on(events.HistoryReported)
def reported(builder: _Builder, event: events.HistoryReported, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.reports[event.report_id] = event.content


@HEALTH.on(events.HistoryReviewed)
def reviewed(builder: _Builder, event: events.HistoryReviewed, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    since = builder.reviewed.since
    if since is not None and meta.order < since:
        # Entered after a later review: it narrows, frees nothing and waits for the next review.
        builder.reports[event.review_id] = event.content
        return
    builder.reviewed.offer(event.content, meta)
    builder.covered.update(event.covers)
