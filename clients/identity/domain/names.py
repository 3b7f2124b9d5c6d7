"""Names as they are searched and sorted."""

from __future__ import annotations

from practice.core.names import folded

MAX_LENGTH = 240
"""Longest key kept: some letters fold to many (U+FDFA to 18), and columns have an end."""


def search_key(name: str) -> str:
    """Small letters without accents, single spaces: "  Íñez " gives "inez"."""
    return folded(name)[:MAX_LENGTH].strip()


def full_name(given_name: str, family_name: str) -> str:
    """Both names as people write them."""
    return f"{given_name} {family_name}".strip()
