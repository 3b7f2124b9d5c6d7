"""What a practitioner who opens a session is warned of, by features that know it.

A feature brings ``OPENING_WARNINGS.by(…)`` in its app's spec; the opening asks them all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from practice.core.appspec import ExtensionPoint
from practice.core.reasons import Reason
from sessions.calendar.models import Session

OPENING_WARNINGS = ExtensionPoint[Callable[[Session], Sequence[Reason]]](
    "what an opening is warned of"
)


def opening_warnings(session: Session) -> list[Reason]:
    """What the features say of a session that is opened."""
    return [reason for answer in OPENING_WARNINGS.answers for reason in answer(session)]
