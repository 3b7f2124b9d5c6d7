"""Pages by key: what comes after a row in a total order, found without counting what is before."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import Q


def after(order: Sequence[str], values: Sequence[Any]) -> Q:
    """The rows that come after one row in a total order; ``-`` turns a column."""
    found, same = Q(), Q()
    for column, value in zip(order, values, strict=True):
        name = column.lstrip("-")
        beyond = "lt" if column.startswith("-") else "gt"
        found |= same & Q(**{f"{name}__{beyond}": value})
        same &= Q(**{name: value})
    return found
