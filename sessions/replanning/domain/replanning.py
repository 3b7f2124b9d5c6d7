"""What a session that narrowed may be again, once what narrowed it was put right. Pure.

Nothing widens by itself: a person plans anew, here for many sessions at once. A session goes
back to what it was planned as at first, as far as it may; what of it may not stays flagged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from clients.permissions.domain.results import MODE_WIDTH, HandsOnExtent, extent_of, narrower
from practice.core.decisions import Decided
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.first_plan import first_mode, modes_at_first, narrowed_of
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.narrowing import (
    Narrowed,
    Narrowing,
    as_planned,
    narrowed_groups,
    told_reasons,
    verdicts_in,
)
from sessions.calendar.domain.session_state import SessionState, SessionStatus
from sessions.calendar.domain.stretch_groups import StretchKey
from sessions.calendar.domain.terms import PermissionsSnapshot


class ReplanResult(StrEnum):
    """What became of one session."""

    AS_PLANNED = "as_planned"
    WIDER = "wider"
    STAYS = "stays"


@dataclass(frozen=True, slots=True)
class PlannedAnew:
    """What a session may be again.

    ``first``: what it was planned as before anything narrowed it; ``wider``: some of it may be
    more than it stands; ``left``: what stays narrower than at first, None: nothing.
    """

    first: Mode
    wider: bool
    left: Narrowing | None

    @property
    def result(self) -> ReplanResult:
        """What comes of planning it anew."""
        if self.left is None:
            return ReplanResult.AS_PLANNED
        return ReplanResult.WIDER if self.wider else ReplanResult.STAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplanOutcome:
    """What became of one session, or would. ``refusal``: why it stays as it is, where that is no
    reason of a single stretch; ``reasons``: why what stays narrower is not more."""

    session_id: UUID
    client_id: UUID
    result: ReplanResult
    mode_before: Mode
    hands_on_before: HandsOnExtent
    mode: Mode
    hands_on: HandsOnExtent
    reasons: tuple[Reason, ...] = ()
    warnings: tuple[Reason, ...] = ()
    refusal: Rejected | None = None


def planned_anew(session: SessionState, now: PermissionsSnapshot) -> PlannedAnew:
    """How much of a flagged session may be again as it was planned at first.

    At first: what the flag says that it was, what a move kept, else the plan.
    """
    before, first = narrowed_of(session), first_mode(session)
    planned, current = verdicts_in(session.plan), verdicts_in(now)
    if not planned or not current:
        return _by_mode_alone(session, first, now)
    at_first = modes_at_first(session, now)
    may = {
        key: narrower(was, as_planned(current[key].planned, key[1], first))
        for key, was in at_first.items()
    }
    stands = {
        key: as_planned(planned[key].planned, key[1], session.planned_mode)
        for key in at_first.keys() & planned.keys()
    }
    stands |= {key: before[key].now for key in at_first.keys() & before.keys()}
    left = {
        key: Narrowed(was, may[key], told_reasons(current[key].reasons))
        for key, was in sorted(at_first.items())
        if is_wider(was, may[key])
    }
    wider = any(is_wider(may[key], stands.get(key, was)) for key, was in at_first.items())
    return PlannedAnew(first, wider, _narrowing(left, may) if left else None)


def _by_mode_alone(session: SessionState, first: Mode, now: PermissionsSnapshot) -> PlannedAnew:
    """The same where no verdict by stretch was kept: the widest of each decides."""
    stands = session.flag.now if session.flag else session.planned_mode
    may = narrower(first, now.mode)
    left = Narrowing({}, may, now.planned_extent) if is_wider(first, may) else None
    return PlannedAnew(first, is_wider(may, stands), left)


def _narrowing(left: Mapping[StretchKey, Narrowed], may: Mapping[StretchKey, Mode]) -> Narrowing:
    widest = max(may.values(), key=MODE_WIDTH.__getitem__)
    return Narrowing(left, widest, extent_of(may.values()))


def check_may_be_replanned(session: SessionState) -> None:
    """Raises Rejected 409 for a session that is not narrowed any more, that somebody came to,
    or that the day's answers narrow: those are cleared or corrected, never planned away."""
    narrowed = session.flag or session.day_flag or session.at_first
    if session.status is not SessionStatus.BOOKED or not narrowed:
        raise Rejected(
            "not_narrowed", "It is not booked and narrowed any more: somebody was quicker."
        )
    if session.day_flag is not None:
        raise Rejected(
            "answers_of_the_day",
            "What the client answered narrows it. A practitioner who may evaluate clears the red"
            " flag or reviews the words; then plan it anew.",
            reasons=session.day_flag.reasons,
        )


def flag_left(session: SessionState, anew: PlannedAnew, now: PermissionsSnapshot) -> Decided:
    """The flag of what stays narrower than at first, with the cause that it had; none where
    nothing does: then the session leaves the call list."""
    if anew.left is None:
        return []
    groups, reasons = narrowed_groups(
        anew.left.narrowed, now.reasons if anew.left.mode is not Mode.HANDS_ON else ()
    )
    return [
        SessionFlagged(
            session_id=session.id,
            was=anew.first,
            now=anew.left.mode,
            reasons=reasons,
            cause=session.flag.cause if session.flag else "",
            extent=anew.left.extent,
            narrowed=groups,
            settings=now.settings,
            limit_rows=now.limit_rows,
        )
    ]


def reasons_left(anew: PlannedAnew, now: PermissionsSnapshot) -> tuple[Reason, ...]:
    """Why what stays narrower is not more; empty where nothing does."""
    if anew.left is None:
        return ()
    found = [
        *(now.reasons if anew.left.mode is not Mode.HANDS_ON else ()),
        *(reason for one in anew.left.narrowed.values() for reason in one.reasons),
    ]
    return tuple(dict.fromkeys(found))
