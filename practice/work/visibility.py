"""Who sees whom, as features below the clients ask it; the clients' app answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Actor
from practice.core.reasons import not_found

VISIBLE_AMONG = ExtensionPoint[Callable[[Actor, frozenset[UUID]], frozenset[UUID]]](
    "which of some clients are visible"
)
"""``among(actor, client_ids)``: those of them whom the actor may see, erased ones included."""


def require_visible(actor: Actor, *client_ids: UUID) -> None:
    """Raises Rejected 404 unless the actor may see every one of some clients."""
    if invisible(actor, client_ids):
        raise not_found("client")


def invisible(actor: Actor, client_ids: Iterable[UUID]) -> frozenset[UUID]:
    """Those of some clients whom the actor may not see."""
    asked = frozenset(client_ids)
    seen = asked
    for among in VISIBLE_AMONG.answers:
        seen &= among(actor, asked)
    return asked - seen
