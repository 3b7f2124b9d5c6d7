"""Provider preference, and exceptions that the client agreed to in person."""

from __future__ import annotations

from datetime import date

from clients.identity.domain import dates
from clients.preference.domain.commands import AgreeException, StatePreference
from clients.preference.domain.events import (
    PreferenceExceptionAgreed,
    PreferenceStated,
    StatedPreference,
)
from clients.preference.domain.state import PreferenceState, stated_preference
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid


def state_preference(state: PreferenceState, command: StatePreference, ctx: Context) -> Decided:
    """Whom the client prefers from now on; nothing where that stands already."""
    if command.gender is not None and command.practitioner_ids:
        detail = "Give a gender or named people, not both; named people are the narrower."
        raise invalid("practitioner_ids", detail)
    stated = None
    if command.gender is not None or command.practitioner_ids:
        stated = StatedPreference(
            scope=command.scope,
            gender=command.gender,
            practitioner_ids=tuple(sorted(set(command.practitioner_ids))),
        )
    if stated_preference(stated) == state.preference:
        return []
    return [
        DatedEvent(
            PreferenceStated(preference=stated), dates.occurrence_time(ctx, command.occurred_at)
        )
    ]


def agree_exception(
    state: PreferenceState, command: AgreeException, zone: str, ctx: Context
) -> Decided:
    """An exception for one practitioner. Raises Rejected 409 where no preference is stated."""
    if state.preference is None:
        raise Rejected(
            "no_preference", "The client has stated no preference to make an exception from."
        )
    at = dates.occurrence_time(ctx, command.occurred_at)
    _one_span(command, local_day(at, zone))
    event = PreferenceExceptionAgreed(
        exception_id=ctx.new_id(),
        practitioner_id=command.practitioner_id,
        agreed_how=command.agreed_how,
        session_id=command.session_id,
        on=command.on,
        until=command.until,
    )
    return [DatedEvent(event, at)]


def _one_span(command: AgreeException, day: date) -> None:
    spans = [span for span in (command.session_id, command.on, command.until) if span is not None]
    if len(spans) != 1:
        raise invalid(
            "until", "Say what it is for: a session (session_id), its day (on), or until a day."
        )
    for field, given in (("on", command.on), ("until", command.until)):
        if given is not None and given < day:
            raise invalid(
                field, f"This cannot lie before {day.isoformat()}, when the client agreed."
            )
