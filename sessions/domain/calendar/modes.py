"""Verdicts compared by how much they allow."""

from clients.domain.permissions.outputs import WIDTH, narrower
from practice.domain.terms import Mode

__all__ = ["narrower", "wider"]


def wider(one: Mode, than: Mode) -> bool:
    """Whether one verdict allows more than another."""
    return WIDTH[one] > WIDTH[than]
