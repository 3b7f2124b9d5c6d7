"""What a re-evaluation found, session by session: what each was, is, and may be. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from clients.identity.domain.booked_session import BookedSession
from clients.permissions.domain.results import HandsOnExtent, least_extent
from practice.core.reasons import Reason
from sessions.assessment.domain.assessment import session_reasons
from sessions.calendar.domain.event_texts import EXTENT_WORDS
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.narrowing import closed_of
from sessions.calendar.domain.session_state import SessionState, planned_extent
from sessions.reevaluation.domain.decisions import BookedReevaluation


def standing_extent(session: SessionState) -> HandsOnExtent:
    """How much of a session is by hand as it stands planned, its flag counted."""
    if session.flag is not None:
        return session.flag.extent
    return planned_extent(session)


def told(
    found: Sequence[BookedReevaluation], flags: Mapping[UUID, SessionFlagged]
) -> list[BookedSession]:
    """Each session that was judged again, with the flag that came of it."""
    return [_told(one, flags.get(one.session.id)) for one in found]


def _told(one: BookedReevaluation, flag: SessionFlagged | None) -> BookedSession:
    was = standing_extent(one.session)
    now = flag.extent if flag is not None else was
    may_be = one.planned.planned_extent
    why = flag.reasons if flag is not None else _why(one)
    return BookedSession(
        session_id=one.session.id,
        starts_at=one.session.starts_at,
        zone=one.session.zone,
        was=was,
        now=now,
        may_be=may_be,
        text=extent_text(was, now, may_be) + _refused(one),
        reasons=() if now is HandsOnExtent.ALL else why,
    )


def _refused(one: BookedReevaluation) -> str:
    """That it may not be held with that practitioner at all, where the client wants it so."""
    if not one.planned.refusals:
        return ""
    return " It may not be held with this practitioner: book another."


def _why(one: BookedReevaluation) -> tuple[Reason, ...]:
    """Why it may not all be by hand now; where it may, nothing but its plan stands against it."""
    closed = closed_of(one.planned).values()
    found = [
        *session_reasons(one.planned.reasons),
        *(reason for some in closed for reason in some.reasons),
    ]
    return tuple(dict.fromkeys(found))


def extent_text(was: HandsOnExtent, now: HandsOnExtent, may_be: HandsOnExtent) -> str:
    """What became of a session, in a sentence or two."""
    is_now = EXTENT_WORDS[now]
    text = f"It stays {is_now}." if was is now else f"It was {EXTENT_WORDS[was]}, is {is_now} now."
    if least_extent(now, may_be) is now and may_be is not now:
        text += f" It may be {EXTENT_WORDS[may_be]} if it is planned anew."
    return text
