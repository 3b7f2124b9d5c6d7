"""What the floors above know of people and places, asked before something is taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from uuid import UUID

from practice.core.reasons import Reason

supervision_uses: list[Callable[[UUID], Sequence[Reason]]] = []
"""What rests on a supervision, by its id: whatever is named keeps it from being deleted."""


def on_supervision_removal(
    find_uses: Callable[[UUID], Sequence[Reason]],
) -> Callable[[UUID], Sequence[Reason]]:
    """Decorator: ``find_uses(supervision_id)`` is asked before a supervision is deleted."""
    if find_uses not in supervision_uses:
        supervision_uses.append(find_uses)
    return find_uses


def uses_of_supervision(supervision_id: UUID) -> list[Reason]:
    """Everything that rests on a supervision."""
    return [reason for find_uses in supervision_uses for reason in find_uses(supervision_id)]
