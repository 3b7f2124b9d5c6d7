"""Rows of read tables, which are written with the events they are made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from django.db import models

from practice.core.events import RecordedEvent

TableRows = tuple[type[models.Model], Sequence[dict[str, Any]]]
"""A read table and whole rows of it, each key once; their values are those that the database
gives back (``database_row``)."""

Projected = Callable[[Sequence[Sequence[RecordedEvent]]], Sequence[TableRows]]
"""The rows that events, by stream, have just made."""


def no_rows(_events: Sequence[Sequence[RecordedEvent]]) -> Sequence[TableRows]:
    """For events whose read tables are made later, all at once."""
    return ()
