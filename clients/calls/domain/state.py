"""The calls slice: every call to a client, as it was recorded."""

from __future__ import annotations

from datetime import datetime

import msgspec

from clients.calls.domain import events
from clients.calls.domain.events import ClientCalled
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


class CallMade(msgspec.Struct, frozen=True, kw_only=True):
    """A call and when it was made."""

    called_at: datetime
    call: ClientCalled


CALLS: Slice[list[CallMade], tuple[CallMade, ...]] = Slice(
    "calls",
    initial=list,
    freeze=tuple,
    watches=(events,),
)


@CALLS.on(events.ClientCalled)
def called(builder: list[CallMade], event: events.ClientCalled, meta: RecordedEvent) -> None:
    builder.append(CallMade(called_at=meta.occurred_at, call=event))
