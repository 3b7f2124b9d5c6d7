"""What waits for a paper: booked sessions of which something is closed for want of it. Pure.

Nothing is judged here. What a session was found to be, and why, stands in its row.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

import msgspec

from clients.orders.domain.terms import OrderSubject
from clients.papers.domain.events import PaperContent
from clients.papers.domain.terms import PaperKind
from clients.permissions.domain.lifted_by import CLEARANCE_LIFTS, SIGNATURE_LIFTS
from practice.core.reasons import Reason

SIGNED_PAPERS = (PaperKind.PLAN_SIGNATURE, PaperKind.REFERRAL)


class HeldSession(msgspec.Struct, frozen=True, kw_only=True):
    """A booked session that waits for a paper: how much of it is by hand until then (all, part,
    nothing), why, and the names of the stretches that are closed for want of it."""

    session_id: UUID
    starts_at: datetime
    zone: str
    hands_on: str
    reasons: tuple[Reason, ...]
    stretches: tuple[str, ...] = ()


def waits_for(content: PaperContent, reason: Reason) -> bool:
    """Whether a reason is one that this paper would answer, were it given."""
    if content.kind in SIGNED_PAPERS:
        return reason.code in SIGNATURE_LIFTS
    if content.kind is not PaperKind.CLEARANCE:
        return False
    subject = CLEARANCE_LIFTS.get(reason.code)
    return subject is not None and _is_for(content.asked_for.subjects, subject)


def _is_for(asked: tuple[OrderSubject, ...], subject: OrderSubject) -> bool:
    return not asked or subject in asked
