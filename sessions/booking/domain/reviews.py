"""Red flags are cleared and free words reviewed, with what was found (ruling 49). Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from clients.clinical.domain.conditions import is_in_chemotherapy
from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import RedFlag
from clients.identity.domain.evaluating import check_may_evaluate
from clients.permissions.domain.settings import PermissionSettings
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Credential
from sessions.calendar.domain.events import ArrivalWordsReviewed, RedFlagCleared
from sessions.calendar.domain.session_state import CalendarState, SessionState
from sessions.calendar.domain.terms import PermissionsSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Reviewer:
    """The practitioner who looks, with the credential that decides whether they may.

    ``client``: what is on record of the client.
    ``permissions``: what the session may be once they have looked, if the client is there.
    """

    practitioner_id: UUID
    credential: Credential
    client: ClientFacts
    permissions: PermissionsSnapshot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearRedFlag:
    """Clear one sign in every session of the client. ``found``: what was found."""

    session_id: UUID
    red_flag: RedFlag
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewWords:
    """Say what the client's own words mean. ``words``: those that were read.

    ``red_flags``: signs that they turned out to be; they stand from then on.
    """

    session_id: UUID
    words: tuple[str, ...]
    found: str
    red_flags: tuple[RedFlag, ...] = ()


def decide_clear_red_flag(
    state: CalendarState,
    command: ClearRedFlag,
    reviewer: Reviewer,
    settings: PermissionSettings,
    ctx: Context,
) -> Decided:
    """Clear a standing sign; that of an emergency not on the local day on which it was said."""
    session = state.session(command.session_id)
    check_may_evaluate(reviewer.credential, settings.evaluating_credentials)
    standing = list(standing_in(state.sessions.values(), command.red_flag))
    if not standing:
        raise Rejected("not_standing", "No such red flag stands: there is nothing to clear.")
    if not command.found.strip():
        raise invalid("found", "Say what was found.")
    today = ctx.now.astimezone(ZoneInfo(session.zone)).date()
    if any(
        is_emergency(one, command.red_flag, today, settings, reviewer.client) for one in standing
    ):
        raise Rejected(
            "emergency_today",
            "This is the sign of an emergency: nobody clears it on the day on which it was said.",
        )
    return [
        RedFlagCleared(
            session_id=session.id,
            red_flag=command.red_flag,
            practitioner_id=reviewer.practitioner_id,
            credential=reviewer.credential,
            found=command.found.strip(),
            permissions=reviewer.permissions,
        )
    ]


def decide_review_words(
    state: CalendarState,
    command: ReviewWords,
    reviewer: Reviewer,
    settings: PermissionSettings,
    ctx: Context,
) -> Decided:
    """Review free words, in whichever session they were said; those not named still wait."""
    session = state.session(command.session_id)
    check_may_evaluate(reviewer.credential, settings.evaluating_credentials)
    waiting = {said.text for one in state.sessions.values() for said in one.words if said.waits()}
    if not command.words or not set(command.words) <= waiting:
        raise Rejected(
            "words_not_waiting",
            "Name the words that wait for a review, as they were said.",
            extra={"words": sorted(waiting)},
        )
    if not command.found.strip():
        raise invalid("found", "Say what was found.")
    return [
        ArrivalWordsReviewed(
            session_id=session.id,
            words=command.words,
            practitioner_id=reviewer.practitioner_id,
            credential=reviewer.credential,
            found=command.found.strip(),
            red_flags=tuple(sorted(set(command.red_flags))),
            permissions=reviewer.permissions,
        )
    ]


def standing_in(sessions: Iterable[SessionState], flag: RedFlag) -> Iterable[SessionState]:
    """The sessions in which a sign stands as known now."""
    for one in sessions:
        if any(sign.flag is flag and sign.stands() for sign in one.signs):
            yield one


def is_emergency(
    session: SessionState,
    flag: RedFlag,
    today: date,
    settings: PermissionSettings,
    client: ClientFacts,
) -> bool:
    """Whether a sign that was said in a session is the sign of an emergency still that day.

    Whether there is chemotherapy: as answered or on record; where nobody answered, there is.
    """
    if today > session.local_date:
        return False
    if flag in settings.emergency_signs:
        return True
    answered = session.answers.chemotherapy if session.answers else None
    days_after = settings.chemotherapy_days_after
    in_chemotherapy = answered is not False or is_in_chemotherapy(
        client, session.local_date, days_after
    )
    return in_chemotherapy and flag in settings.emergency_signs_in_chemotherapy
