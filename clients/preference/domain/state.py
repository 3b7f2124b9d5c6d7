"""The preference slice: whom the client prefers, and the exceptions agreed since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from clients.identity.domain.latest import Latest
from clients.preference.domain import events
from clients.preference.domain.terms import PreferenceScope
from practice.core.decisions import Slice
from practice.core.events import EventOrder, RecordedEvent
from practice.core.terms import Gender


class ProviderPreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom the client prefers: a gender or named people, for all work or hands-on work only."""

    scope: PreferenceScope
    gender: Gender | None = None
    practitioner_ids: tuple[UUID, ...] = ()


class PreferenceException(msgspec.Struct, frozen=True, kw_only=True):
    """A practitioner accepted against the preference: one session or until a day.

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
        self.exceptions: list[tuple[EventOrder, PreferenceException]] = []
        self.version = 0


def stated_preference(stated: events.StatedPreference | None) -> ProviderPreference | None:
    """The preference of an event, as permissions take it; None: anyone."""
    if stated is None:
        return None
    return ProviderPreference(
        scope=stated.scope, gender=stated.gender, practitioner_ids=stated.practitioner_ids
    )


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
    "preference", initial=_Builder, freeze=_freeze, watches=(events,)
)


@PREFERENCE.on(events.PreferenceStated)
def stated(builder: _Builder, event: events.PreferenceStated, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.preference.offer(stated_preference(event.preference), meta)


@PREFERENCE.on(events.PreferenceExceptionAgreed)
def exception_agreed(
    builder: _Builder, event: events.PreferenceExceptionAgreed, meta: RecordedEvent
) -> None:
    builder.version = max(builder.version, meta.version)
    exception = PreferenceException(
        practitioner_id=event.practitioner_id,
        exception_id=event.exception_id,
        session_id=event.session_id,
        on=event.on,
        until=event.until,
    )
    builder.exceptions.append((meta.order, exception))
