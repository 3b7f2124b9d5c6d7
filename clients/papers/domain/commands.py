"""What the desk and practitioners ask of papers, as plain values."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.papers.domain.events import AskedFor, AskedOf
from clients.papers.domain.terms import PaperChannel, PaperKind, PaperOutcome


class SendPaper(msgspec.Struct, frozen=True, kw_only=True):
    """A request that went out, or a reminder; ``on`` today where it is not given."""

    channel: PaperChannel
    on: date | None = None
    words: str = ""


class AskForPaper(msgspec.Struct, frozen=True, kw_only=True):
    """A paper to be asked for; ``asked_on`` today and ``needed_by`` by the practice's setting
    where they are not given. ``sent``: how the request went out, None where it has not yet."""

    kind: PaperKind
    asked_of: AskedOf
    title: str = ""
    asked_for: AskedFor = AskedFor()
    asked_on: date | None = None
    needed_by: date | None = None
    expires_on: date | None = None
    sent: SendPaper | None = None


class CorrectPaper(msgspec.Struct, frozen=True, kw_only=True):
    """What should have been recorded, and why; what is not given stays."""

    reason: str
    kind: PaperKind | None = None
    title: str | None = None
    asked_of: AskedOf | None = None
    asked_for: AskedFor | None = None
    asked_on: date | None = None
    needed_by: date | None = None
    expires_on: date | msgspec.UnsetType | None = msgspec.UNSET


class AnswerPaper(msgspec.Struct, frozen=True, kw_only=True):
    """An answer; ``answered_by`` is whoever was asked where it is not given."""

    outcome: PaperOutcome
    answered_by: str = ""
    answered_on: date | None = None
    expires_on: date | None = None
    order_id: UUID | None = None
    words: str = ""


class LinkOrder(msgspec.Struct, frozen=True, kw_only=True):
    """The order that was recorded from an answer."""

    order_id: UUID


class EndPaper(msgspec.Struct, frozen=True, kw_only=True):
    """Why a paper is not waited for any more."""

    reason: str


class TakeStepBack(msgspec.Struct, frozen=True, kw_only=True):
    """A step of a paper that did not happen so, and why."""

    step_id: UUID
    reason: str
