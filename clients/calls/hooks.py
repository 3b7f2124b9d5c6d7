"""Whom to call and why, by features that know it.

A feature brings ``CALL_REASONS.by(CallSource(…))`` in its app's spec. The call list merges the
sources by day, hides what was told, and brings back what is to be called again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from practice.core.appspec import ExtensionPoint


@dataclass(frozen=True, kw_only=True)
class CallSource:
    """Rows of a read table whose clients are to be called.

    ``reason``: its stable word, e.g. ``recheck_due``; ``explained``: what it means.
    ``rows(now)``: those to be called about, whoever asks; the list leaves out clients whom the
    caller does not see.
    ``by``: the column with the day until which to call, ``about`` that with the id of the thing,
    ``since`` that with the instant from which it stands: a call before it said nothing of it.
    None of them is ever null there. An index on ``by`` and ``about`` of these rows answers a page.
    ``told(rows, now)``: for each row a sentence in plain words that the desk may read and tell,
    in as many queries for one row as for fifty.
    ``still(rows)``: those of a page that are to be called about, where the database cannot tell;
    None: all of them.
    """

    reason: str
    explained: str
    rows: Callable[[datetime], QuerySet[Any]]
    by: str
    about: str
    since: str
    told: Callable[[Sequence[Any], datetime], list[str]]
    still: Callable[[Sequence[Any]], list[Any]] | None = None


CALL_REASONS = ExtensionPoint[CallSource]("whom to call, and why")
