"""What left the practice, summaries as they were sent, and what changed visits since. Pure.

Disclosures survive the erasure of the record; the summaries themselves do not. A visit is
calculated in the request that changed it: what was recorded there before it, with its reason, is
what changed it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Final
from uuid import UUID

import msgspec

from billing.authorizations.domain import events as authorization_events
from billing.summaries.domain import events
from billing.summaries.domain.document import CorrectionReason, SummaryDocument
from billing.summaries.domain.forms import SummaryForm
from practice.core.decisions import Slice
from practice.core.dispatch import events_of
from practice.core.events import RecordedEvent
from practice.core.spans import Span
from sessions.calendar.domain import events as calendar_events
from sessions.notes.domain import co_signature_events
from sessions.notes.domain import events as note_events


@dataclass(frozen=True, slots=True)
class DisclosureState:
    """One disclosure: when it was made, by whom, and all of its event."""

    occurred_at: datetime
    by: UUID
    event: events.RecordDisclosed


DisclosuresState = tuple[DisclosureState, ...]


DISCLOSURES: Slice[list[DisclosureState], DisclosuresState] = Slice(
    "disclosures",
    initial=list,
    freeze=tuple,
    watches=(events,),
    ignores=(events.VisitSummaryKept,),
)


@DISCLOSURES.on(events.RecordDisclosed)
def disclosed(
    builder: list[DisclosureState], event: events.RecordDisclosed, meta: RecordedEvent
) -> None:
    builder.append(DisclosureState(meta.occurred_at, meta.actor, event))


@dataclass(frozen=True)
class KeptSummary:
    """A summary as it was sent, and when."""

    sent_at: datetime
    event: events.VisitSummaryKept

    @cached_property
    def document(self) -> SummaryDocument:
        """What its JSON says."""
        return msgspec.json.decode(self.event.forms[SummaryForm.JSON.value], type=SummaryDocument)

    @property
    def days(self) -> Span:
        """The days of its period as numbers, the end after the last."""
        return self.event.starts_on.toordinal(), self.event.ends_on.toordinal() + 1

    def speaks_of(self, day: date) -> bool:
        """Whether a day lies in its period."""
        return self.event.starts_on <= day <= self.event.ends_on


KeptSummaries = dict[UUID, KeptSummary]

KEPT_SUMMARIES: Slice[KeptSummaries, KeptSummaries] = Slice(
    "kept_summaries",
    initial=dict,
    freeze=dict,
    watches=(events,),
    ignores=(events.RecordDisclosed,),
)


@KEPT_SUMMARIES.on(events.VisitSummaryKept)
def kept(builder: KeptSummaries, event: events.VisitSummaryKept, meta: RecordedEvent) -> None:
    builder[event.summary_id] = KeptSummary(meta.recorded_at, event)


VisitChanges = Mapping[UUID, tuple[CorrectionReason, ...]]
CALCULATED_AGAIN: Final = "calculated again"


@dataclass
class VisitChangesBuilder:
    """What was recorded in each request so far, and the changes of each visit."""

    by_request: defaultdict[str, list[CorrectionReason]] = field(
        default_factory=lambda: defaultdict(list)
    )
    by_visit: defaultdict[UUID, list[CorrectionReason]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def note(self, meta: RecordedEvent, what: str, reason: str = "") -> None:
        """Something that visits calculated in the same request are changed by."""
        self.by_request[meta.request_id].append(
            CorrectionReason(recorded_at=meta.recorded_at, what=what, reason=reason)
        )


CAUSES = (
    note_events.NoteSigned,
    note_events.AddendumAdded,
    note_events.NoteEnteredInError,
    calendar_events.SessionEnteredInError,
)

VISIT_CHANGES: Slice[VisitChangesBuilder, VisitChanges] = Slice(
    "visit_changes",
    initial=VisitChangesBuilder,
    freeze=lambda builder: {key: tuple(found) for key, found in builder.by_visit.items()},
    watches=(authorization_events, note_events, co_signature_events, calendar_events),
    ignores=(
        authorization_events.AuthorizationRecorded,
        co_signature_events.CoSignatureRequired,
        co_signature_events.NoteReturned,
        co_signature_events.NoteReturnTakenBack,
        co_signature_events.CoSignerNamed,
        # Of notes and of the calendar little changes a visit.
        *(cls for cls in events_of(note_events) if cls not in CAUSES),
        *(cls for cls in events_of(calendar_events) if cls not in CAUSES),
    ),
)


@VISIT_CHANGES.on(note_events.NoteSigned)
def signed(
    builder: VisitChangesBuilder, event: note_events.NoteSigned, meta: RecordedEvent
) -> None:
    builder.note(meta, "a note was signed")


@VISIT_CHANGES.on(co_signature_events.NoteCoSigned)
def co_signed(
    builder: VisitChangesBuilder, event: co_signature_events.NoteCoSigned, meta: RecordedEvent
) -> None:
    builder.note(meta, "a note was co-signed")


@VISIT_CHANGES.on(note_events.AddendumAdded)
def addendum(
    builder: VisitChangesBuilder, event: note_events.AddendumAdded, meta: RecordedEvent
) -> None:
    # Its text is narrative, which no payer reads.
    builder.note(meta, "an addendum corrected the note")


@VISIT_CHANGES.on(note_events.NoteEnteredInError)
def note_entered_in_error(
    builder: VisitChangesBuilder, event: note_events.NoteEnteredInError, meta: RecordedEvent
) -> None:
    # With its session, the session says so.
    if event.session_stands:
        builder.note(meta, "a note was entered in error", event.reason)


@VISIT_CHANGES.on(calendar_events.SessionEnteredInError)
def entered_in_error(
    builder: VisitChangesBuilder, event: calendar_events.SessionEnteredInError, meta: RecordedEvent
) -> None:
    builder.note(meta, "a session was entered in error", event.reason)


@VISIT_CHANGES.on(authorization_events.AuthorizationAmended)
def amended(
    builder: VisitChangesBuilder,
    event: authorization_events.AuthorizationAmended,
    meta: RecordedEvent,
) -> None:
    builder.note(meta, "the authorization was amended", event.reason)


@VISIT_CHANGES.on(authorization_events.AuthorizationEnded)
def ended(
    builder: VisitChangesBuilder,
    event: authorization_events.AuthorizationEnded,
    meta: RecordedEvent,
) -> None:
    builder.note(meta, "the authorization was ended", event.reason)


@VISIT_CHANGES.on(authorization_events.AuthorizationReopened)
def reopened(
    builder: VisitChangesBuilder,
    event: authorization_events.AuthorizationReopened,
    meta: RecordedEvent,
) -> None:
    builder.note(meta, "the authorization was reopened", event.reason)


@VISIT_CHANGES.on(authorization_events.AuthorizationVoided)
def voided(
    builder: VisitChangesBuilder,
    event: authorization_events.AuthorizationVoided,
    meta: RecordedEvent,
) -> None:
    builder.note(meta, "an authorization was voided", event.reason)


@VISIT_CHANGES.on(authorization_events.VisitOverridden)
def overridden(
    builder: VisitChangesBuilder, event: authorization_events.VisitOverridden, meta: RecordedEvent
) -> None:
    builder.note(meta, "a person decided for the visit", event.reason)


@VISIT_CHANGES.on(authorization_events.VisitGivenBack)
def given_back(
    builder: VisitChangesBuilder, event: authorization_events.VisitGivenBack, meta: RecordedEvent
) -> None:
    builder.note(meta, "the visit was given back", event.reason)


@VISIT_CHANGES.on(authorization_events.VisitCoveredLater)
def covered_later(
    builder: VisitChangesBuilder, event: authorization_events.VisitCoveredLater, meta: RecordedEvent
) -> None:
    builder.note(meta, "the visit was covered later", event.reason)


@VISIT_CHANGES.on(authorization_events.VisitCalculated)
def calculated(
    builder: VisitChangesBuilder, event: authorization_events.VisitCalculated, meta: RecordedEvent
) -> None:
    again = CorrectionReason(recorded_at=meta.recorded_at, what=CALCULATED_AGAIN)
    builder.by_visit[event.visit_id] += builder.by_request[meta.request_id] or [again]


def changes_since(
    changes: VisitChanges, visit_id: UUID, sent_at: datetime
) -> tuple[CorrectionReason, ...]:
    """What changed a visit after an instant, each once."""
    found = (one for one in changes.get(visit_id, ()) if one.recorded_at > sent_at)
    return tuple(dict.fromkeys(found))
