"""Which orders an answer to a paper leads to, or waits for. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from clients.orders.domain.commands import FileOrder
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, Prescriber
from clients.papers.domain.events import PaperContent
from clients.papers.domain.paper import Paper
from clients.papers.domain.terms import AskedRole, PaperKind, PaperOutcome, PaperStatus
from practice.core.reasons import invalid

ORDERS_OF = {
    PaperKind.CLEARANCE: (OrderKind.CLEARANCE, OrderKind.RESTRICTION),
    PaperKind.PLAN_SIGNATURE: (OrderKind.PLAN_SIGNATURE,),
    PaperKind.OTHER: tuple(OrderKind),
}
"""Which orders may come of the answer to a paper: a surgeon asked for a clearance may restrict."""


def refusal_order(content: PaperContent, by: str, day: date, words: str) -> FileOrder:
    """What a refused clearance restricts: what it was asked for; nothing named is everything."""
    surgeon = content.asked_of.role is AskedRole.SURGEON
    return FileOrder(
        kind=OrderKind.RESTRICTION,
        prescriber=Prescriber.SURGEON if surgeon else Prescriber.PHYSICIAN,
        prescriber_name=by,
        given_on=day,
        subjects=content.asked_for.subjects,
        sites=content.asked_for.sites,
        techniques=content.asked_for.techniques,
        text=words or "The clearance that was asked for was refused.",
    )


def check_order_fits(paper: Paper, orders: Sequence[MedicalOrder], order_id: UUID) -> None:
    """Raises Rejected 400 for an order that is not on record or of another kind."""
    order = next((one for one in orders if one.id == order_id), None)
    if order is None:
        raise invalid("order_id", "No such order is on the client's record: file it first.")
    if order.kind not in ORDERS_OF.get(paper.content.kind, ()):
        kinds = f"{order.kind.replace('_', ' ')} of a {paper.content.kind.replace('_', ' ')}"
        raise invalid("order_id", f"An answer does not make a {kinds} paper.")


def refusal_restricts(paper: Paper) -> bool:
    """Whether a clearance was refused and what came of it is on record as an order."""
    answer = paper.answer
    return (
        paper.content.kind is PaperKind.CLEARANCE
        and answer is not None
        and answer.outcome is PaperOutcome.REFUSED
        and bool(paper.order_ids)
    )


def answered_without_order(paper: Paper) -> bool:
    """Whether a clearance or signature was given and the order that lets it count is not named."""
    answer = paper.answer
    return (
        paper.content.kind in (PaperKind.CLEARANCE, PaperKind.PLAN_SIGNATURE)
        and paper.status is PaperStatus.ANSWERED
        and answer is not None
        and answer.outcome is not PaperOutcome.REFUSED
        and not paper.order_ids
    )
