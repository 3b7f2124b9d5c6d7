"""Events of a paper that is waited for: asked, sent, reminded, answered, withdrawn, corrected.

A paper clears nothing: what a prescriber allows or refuses is an order, and the answer names it
by id.
"""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.content import BodySite
from clients.orders.domain.terms import OrderSubject
from clients.papers.domain.terms import (
    AskedRole,
    PaperChannel,
    PaperKind,
    PaperOutcome,
    PaperStepKind,
)
from practice.core.events import Event, event
from practice.core.terms import Technique


class AskedOf(msgspec.Struct, frozen=True, kw_only=True):
    """Who was asked, and how they are reached: phone and fax in E.164, the rest as written."""

    name: str
    role: AskedRole
    phone: str = ""
    fax: str = ""
    mail: str = ""


class AskedFor(msgspec.Struct, frozen=True, kw_only=True):
    """What the paper is to allow or say; clinical, so kept from the desk (ruling 20).

    What is empty is not limited: a clearance without subjects is for all that waits for one.
    """

    subjects: tuple[OrderSubject, ...] = ()
    sites: tuple[BodySite, ...] = ()
    techniques: tuple[Technique, ...] = ()
    words: str = ""


class PaperContent(msgspec.Struct, frozen=True, kw_only=True):
    """What was asked of whom, and by when it is needed.

    ``title`` names a paper of kind other. ``expires_on``: the last day on which the answer is
    of use, e.g. the end of the paper that it is to follow.
    """

    kind: PaperKind
    asked_of: AskedOf
    asked_on: date
    needed_by: date
    title: str = ""
    asked_for: AskedFor = AskedFor()
    expires_on: date | None = None


@event("paper.asked")
class PaperAsked(Event, frozen=True, kw_only=True):
    """A paper was asked for. ``zone``: whose calendar its days are of (IANA)."""

    paper_id: UUID
    content: PaperContent
    zone: str
    needed_by_setting: bool = False


@event("paper.sent")
class PaperSent(Event, frozen=True, kw_only=True):
    """The request went out."""

    paper_id: UUID
    step_id: UUID
    sent_on: date
    channel: PaperChannel
    words: str = ""


@event("paper.reminded")
class PaperReminded(Event, frozen=True, kw_only=True):
    """Whoever was asked was reminded."""

    paper_id: UUID
    step_id: UUID
    reminded_on: date
    channel: PaperChannel
    words: str = ""


@event("paper.answered")
class PaperAnswered(Event, frozen=True, kw_only=True):
    """The answer came. ``expires_on``: the last day that the paper holds."""

    paper_id: UUID
    step_id: UUID
    answered_on: date
    answered_by: str
    outcome: PaperOutcome
    expires_on: date | None = None
    order_id: UUID | None = None
    words: str = ""


@event("paper.order_linked")
class PaperOrderLinked(Event, frozen=True, kw_only=True):
    """The order that was recorded from an answer was named."""

    paper_id: UUID
    step_id: UUID
    linked_on: date
    order_id: UUID


@event("paper.withdrawn")
class PaperWithdrawn(Event, frozen=True, kw_only=True):
    """The paper is not waited for any more."""

    paper_id: UUID
    step_id: UUID
    withdrawn_on: date
    reason: str


@event("paper.corrected")
class PaperCorrected(Event, frozen=True, kw_only=True):
    """What was asked of whom was put right; ``content`` is the whole as it should have been."""

    paper_id: UUID
    content: PaperContent
    reason: str


@event("paper.step_in_error")
class PaperStepInError(Event, frozen=True, kw_only=True):
    """Something that was recorded of a paper did not happen so: it counts no more."""

    paper_id: UUID
    step_id: UUID
    step: PaperStepKind
    reason: str
