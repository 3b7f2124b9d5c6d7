"""Modes compared by how much they allow."""

from clients.permissions.domain.results import MODE_WIDTH, narrower
from practice.core.terms import Mode

__all__ = ["is_wider", "narrower"]


def is_wider(one: Mode, than: Mode) -> bool:
    """Whether one mode allows more than another."""
    return MODE_WIDTH[one] > MODE_WIDTH[than]
