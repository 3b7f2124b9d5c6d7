"""The red flags and free words that stand against a client's work at a time. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from clients.health.domain.terms import RedFlag
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.terms import NewSwelling, SubmittedArrivalAnswers


@dataclass(frozen=True, kw_only=True)
class StandingSigns:
    """What stands: signs that nobody has cleared with their limbs, and words not reviewed.

    ``cleared``: signs in the answers that are evaluated which were cleared since.
    """

    flags: frozenset[RedFlag] = frozenset()
    swelling: tuple[NewSwelling, ...] = ()
    cleared: frozenset[RedFlag] = frozenset()
    words_unreviewed: bool = False


NO_SIGNS = StandingSigns()
Flags = frozenset[RedFlag]


def standing_signs(
    sessions: Iterable[SessionState],
    day: date,
    *,
    answered_in: UUID | None = None,
    at: datetime | None = None,
) -> StandingSigns:
    """What stands on a local day of all that the client said on it and before (ruling 49).

    ``answered_in``: the session whose answers are evaluated; ``at``: as it stood at an
    instant, None as known now. A sign or words of a later day say nothing of an earlier one.
    """
    before = [one for one in sessions if one.local_date <= day]
    signs = [sign for one in before for sign in one.signs if sign.stands(at)]
    flags = frozenset(sign.flag for sign in signs)
    own = (one for one in before if one.id == answered_in)
    ever = frozenset(sign.flag for one in own for sign in one.signs)
    return StandingSigns(
        flags=flags,
        swelling=tuple(sorted({limb for sign in signs for limb in sign.swelling})),
        cleared=ever - flags,
        words_unreviewed=any(said.waits(at) for one in before for said in one.words),
    )


def signs_raised(
    session: SessionState, given: SubmittedArrivalAnswers, in_given: Flags, in_merged: Flags
) -> tuple[RedFlag, ...]:
    """The signs that answers given now raise: ``in_given`` are those in them alone, ``in_merged``
    those once they lie over the earlier answers.

    What stands in this session already is not raised twice, but for another swollen limb. What
    was cleared is raised again only where it is said again.
    """
    standing = [sign for sign in session.signs if sign.stands()]
    known = {sign.flag for sign in standing}
    limbs = {limb for sign in standing for limb in sign.swelling}
    if set(given.swelling or ()) - limbs:
        known.discard(RedFlag.NEW_SWELLING)
    ever = {sign.flag for sign in session.signs}
    return tuple(sorted((in_given - known) | (in_merged - ever)))


def with_raised(
    signs: StandingSigns, raised: Iterable[RedFlag], swelling: Iterable[NewSwelling], words: str
) -> StandingSigns:
    """What stands once signs and words are said that are not recorded yet."""
    fresh = frozenset(raised)
    limbs = set(swelling) if RedFlag.NEW_SWELLING in fresh else set()
    return StandingSigns(
        flags=signs.flags | fresh,
        swelling=tuple(sorted({*signs.swelling, *limbs})),
        cleared=signs.cleared - fresh,
        words_unreviewed=signs.words_unreviewed or bool(words),
    )


def evaluated_until(session: SessionState) -> datetime:
    """Until when a clearing counts for the work of a session: its booked end, or its arrival
    where the client came later. What is cleared after that opens the next session only."""
    return max(session.ends_at, session.answered_at or session.ends_at)


def words_said(answers: SubmittedArrivalAnswers, words_for_nothing: Iterable[str]) -> str:
    """The free words of answers that say something; empty where they say that there is nothing."""
    nothing = {_bare(one) for one in words_for_nothing}
    lines = answers.other_symptoms.splitlines()
    return "\n".join(line.strip() for line in lines if _bare(line) and _bare(line) not in nothing)


def _bare(text: str) -> str:
    return " ".join(text.casefold().split()).strip(" .,;:!-–—/*?'\"()")
