"""What law asks of the apps above."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from practice.core.appspec import ExtensionPoint

KNOWN_PAYERS = ExtensionPoint[Callable[[UUID], bool]]("whether a payer is on record")


def is_known_payer(payer_id: UUID) -> bool:
    """Whether a payer is on record."""
    return any(answer(payer_id) for answer in KNOWN_PAYERS.answers)
