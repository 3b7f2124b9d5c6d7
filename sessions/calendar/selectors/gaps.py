"""What of some sessions is missing or to be seen to, by features that know it.

A feature brings ``SESSION_GAPS.by(GapSource(…))`` in its app's spec; the day sheet and the
client at a glance ask them all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from sessions.calendar.models import Session

Gaps = Mapping[UUID, Sequence[str]]


@dataclass(frozen=True)
class GapSource:
    """What one feature can say is missing.

    ``texts``: by its short code, what is missing and whom to ask for it, in words that every
    role may read. ``found(sessions)``: the codes by the session's id, in as many queries for
    one session as for a hundred. ``barring``: the codes with which a session cannot be held as
    it is booked, whatever it was planned as.
    """

    texts: Mapping[str, str]
    found: Callable[[Sequence[Session]], Gaps]
    barring: frozenset[str] = frozenset()


SESSION_GAPS = ExtensionPoint[GapSource]("what is missing for a session")


def gaps_of(sessions: Sequence[Session]) -> dict[UUID, list[str]]:
    """The codes of what is missing, by the session's id; sessions that lack nothing are left
    out."""
    found: defaultdict[UUID, list[str]] = defaultdict(list)
    for source in SESSION_GAPS.answers if sessions else ():
        for session_id, codes in source.found(sessions).items():
            found[session_id] += codes
    return {session_id: codes for session_id, codes in found.items() if codes}


def cannot_be(codes: Iterable[str]) -> bool:
    """Whether a session of which this is missing cannot be held as it is booked."""
    found = set(codes)
    return any(not found.isdisjoint(source.barring) for source in SESSION_GAPS.answers)


def texts_of(codes: Iterable[str]) -> dict[str, str]:
    """The texts of some codes, in the order in which features bring them."""
    wanted = set(codes)
    return {
        code: text
        for source in SESSION_GAPS.answers
        for code, text in source.texts.items()
        if code in wanted
    }
