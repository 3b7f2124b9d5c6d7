"""The preference slice: whom the client prefers, and the exceptions agreed since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from clients.identity.domain.latest import Latest, OccurrenceKey, when
from clients.preference.domain.events import (
    PreferenceExceptionAgreed,
    PreferenceStated,
    StatedPreference,
)
from clients.preference.domain.terms import PreferenceScope
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.terms import Gender


class ProviderPreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom she prefers: a gender or named people, for all work or hands-on work only."""

    scope: PreferenceScope
    gender: Gender | None = None
    practitioner_ids: tuple[UUID, ...] = ()


class PreferenceException(msgspec.Struct, frozen=True, kw_only=True):
    """A practitioner whom she accepts against her preference: one session or until a day.

    The one session is named by its id, or, while it is not booked yet, by its day ``on``.
    """

    practitioner_id: UUID
    exception_id: UUID | None = None
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class PreferenceState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    preference: ProviderPreference | None
    exceptions: tuple[PreferenceException, ...]
    version: int


class _Builder:
    def __init__(self) -> None:
        self.preference: Latest[ProviderPreference | None] = Latest(None)
        self.exceptions: list[tuple[OccurrenceKey, PreferenceException]] = []
        self.version = 0


def stated_preference(stated: StatedPreference | None) -> ProviderPreference | None:
    """The preference of an event, as permissions take it; None: anyone."""
    if stated is None:
        return None
    return ProviderPreference(
        scope=stated.scope, gender=stated.gender, practitioner_ids=stated.practitioner_ids
    )


def _excepted(event: PreferenceExceptionAgreed) -> PreferenceException:
    return PreferenceException(
        practitioner_id=event.practitioner_id,
        exception_id=event.exception_id,
        session_id=event.session_id,
        on=event.on,
        until=event.until,
    )


def _evolve(builder: _Builder, recorded: RecordedEvent) -> None:
    builder.version = max(builder.version, recorded.version)
    match recorded.data:
        case PreferenceStated(preference=stated):
            builder.preference.offer(stated_preference(stated), recorded)
        case PreferenceExceptionAgreed() as event:
            builder.exceptions.append((when(recorded), _excepted(event)))


def _freeze(builder: _Builder) -> PreferenceState:
    since = builder.preference.since
    return PreferenceState(
        preference=builder.preference.value,
        exceptions=tuple(
            made for at, made in builder.exceptions if since is not None and at > since
        ),
        version=builder.version,
    )


PREFERENCE: Slice[_Builder, PreferenceState] = Slice(
    name="preference",
    folds=(PreferenceStated, PreferenceExceptionAgreed),
    initial=_Builder,
    evolve=_evolve,
    freeze=_freeze,
)
