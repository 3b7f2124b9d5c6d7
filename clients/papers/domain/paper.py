"""One paper that is waited for and what happened to it; the same in the state and in the row.
Pure."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import msgspec

from clients.papers.domain.events import PaperContent
from clients.papers.domain.terms import PaperChannel, PaperOutcome, PaperStatus, PaperStepKind


class PaperStep(msgspec.Struct, frozen=True, kw_only=True):
    """Something that happened to a paper on a local day; ``in_error``: why it does not count."""

    id: UUID
    kind: PaperStepKind
    on: date
    channel: PaperChannel | None = None
    by: str = ""
    outcome: PaperOutcome | None = None
    expires_on: date | None = None
    order_id: UUID | None = None
    words: str = ""
    in_error: str = ""


class Paper(msgspec.Struct, frozen=True, kw_only=True):
    """A paper as it stands; ``steps`` in order of recording, those entered in error too."""

    id: UUID
    content: PaperContent
    zone: str
    steps: tuple[PaperStep, ...] = ()
    corrections: tuple[str, ...] = ()

    def standing(self, kind: PaperStepKind) -> list[PaperStep]:
        """What counts of a kind of step, the earliest day first."""
        found = [one for one in self.steps if one.kind is kind and not one.in_error]
        return sorted(found, key=lambda one: one.on)

    def last(self, kind: PaperStepKind) -> PaperStep | None:
        """The latest that counts of a kind of step."""
        return next(reversed(self.standing(kind)), None)

    @property
    def answer(self) -> PaperStep | None:
        """The answer that counts."""
        return self.last(PaperStepKind.ANSWERED)

    @property
    def status(self) -> PaperStatus:
        """Where it stands."""
        if self.last(PaperStepKind.WITHDRAWN) is not None:
            return PaperStatus.WITHDRAWN
        return PaperStatus.WAITING if self.answer is None else PaperStatus.ANSWERED

    @property
    def order_ids(self) -> tuple[UUID, ...]:
        """The orders that were recorded from its answer."""
        kinds = (PaperStepKind.ANSWERED, PaperStepKind.ORDER_LINKED)
        named = (one.order_id for one in self.steps if one.kind in kinds and not one.in_error)
        return tuple(dict.fromkeys(one for one in named if one is not None))

    @property
    def expires_on(self) -> date | None:
        """The last day of the paper that was given, or on which one that is waited for is of use;
        None for one that was refused or withdrawn."""
        if self.status is PaperStatus.WITHDRAWN:
            return None
        answer = self.answer
        if answer is None:
            return self.content.expires_on
        return None if answer.outcome is PaperOutcome.REFUSED else answer.expires_on


def with_step(paper: Paper, step: PaperStep) -> Paper:
    """The paper with one more step."""
    return msgspec.structs.replace(paper, steps=(*paper.steps, step))


def without_step(paper: Paper, step_id: UUID, reason: str) -> Paper:
    """The paper with a step that does not count."""
    steps = tuple(
        msgspec.structs.replace(one, in_error=reason) if one.id == step_id else one
        for one in paper.steps
    )
    return msgspec.structs.replace(paper, steps=steps)


def is_overdue(status: str, needed_by: date, today: date) -> bool:
    """Whether a paper is waited for after the day by which it was needed."""
    return status == PaperStatus.WAITING and needed_by < today


def is_expiring(expires_on: date | None, today: date, lead_days: int) -> bool:
    """Whether a paper's last day is today or at most so many days ahead."""
    return expires_on is not None and today <= expires_on <= today + timedelta(days=lead_days)
