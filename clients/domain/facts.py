"""The facts slice: what permissions are judged by, folded to ``ClientFacts``.

Facts take effect when they happened, not when they were written down: of two
consents the one that happened later stands, even if it was recorded first.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

import msgspec

from clients.domain.events import (
    ConsentDeclined,
    ConsentRecorded,
    ConsentWithdrawn,
    HistoryReported,
    HistoryReviewed,
    OrderFiled,
    OrderLifted,
    PreferenceExceptionAgreed,
    PreferenceStated,
    StatedPreference,
)
from clients.domain.health import HistoryContent, Order
from clients.domain.permissions.inputs import (
    ClientFacts,
    PreferenceException,
    ProviderPreference,
    TouchConsent,
)
from clients.domain.terms import ConsentStatus
from practice.domain.decisions import Slice
from practice.domain.events import Recorded

When = tuple[datetime, int]


class _Builder:
    """What happened, with its time; the latest is picked once, by ``freeze``."""

    def __init__(self) -> None:
        self.consents: list[tuple[When, TouchConsent]] = []
        self.preferences: list[tuple[When, ProviderPreference | None]] = []
        self.exceptions: list[tuple[When, PreferenceException]] = []
        self.reviews: list[tuple[When, HistoryContent]] = []
        self.reports: dict[UUID, HistoryContent] = {}
        self.covered: set[UUID] = set()
        self.orders: dict[UUID, Order] = {}
        self.lifts: dict[UUID, OrderLifted] = {}
        self.version = 0


def granted(event: ConsentRecorded) -> TouchConsent:
    """The consent of an event, as permissions take it."""
    scope = event.scope
    return TouchConsent(
        status=ConsentStatus.GRANTED,
        consent_id=event.consent_id,
        sites=scope.sites,
        techniques=scope.techniques,
        practitioners=scope.practitioners,
        gender=scope.gender,
        given_on=event.given_on,
        until=event.until,
        language=event.obtained.language,
        support_person=scope.support_person,
        interpreter=scope.interpreter,
    )


def lifted(order: Order, lift: OrderLifted | None) -> Order:
    """An order with the day it was lifted, if it was."""
    if lift is None:
        return order
    return msgspec.structs.replace(order, lifted_on=lift.lifted_on)


def _evolve(builder: _Builder, recorded: Recorded) -> None:
    when = (recorded.effective_at, recorded.version)
    builder.version = max(builder.version, recorded.version)
    match recorded.data:
        case ConsentRecorded() as event:
            builder.consents.append((when, granted(event)))
        case ConsentDeclined(consent_id=consent_id):
            declined = TouchConsent(status=ConsentStatus.DECLINED, consent_id=consent_id)
            builder.consents.append((when, declined))
        case ConsentWithdrawn(consent_id=consent_id):
            gone = TouchConsent(status=ConsentStatus.WITHDRAWN, consent_id=consent_id)
            builder.consents.append((when, gone))
        case PreferenceStated(preference=preference):
            builder.preferences.append((when, preferred(preference)))
        case PreferenceExceptionAgreed() as event:
            builder.exceptions.append((when, excepted(event)))
        case HistoryReported(report_id=report_id, content=content):
            builder.reports[report_id] = content
        case HistoryReviewed(content=content, covers=covers):
            builder.reviews.append((when, content))
            builder.covered.update(covers)
        case OrderFiled(order=order):
            builder.orders[order.id] = order
        case OrderLifted(order_id=order_id) as event:
            builder.lifts[order_id] = event


def preferred(stated: StatedPreference | None) -> ProviderPreference | None:
    """The preference of an event, as permissions take it; None: anyone."""
    if stated is None:
        return None
    return ProviderPreference(
        scope=stated.scope, gender=stated.gender, practitioners=stated.practitioners
    )


def excepted(event: PreferenceExceptionAgreed) -> PreferenceException:
    """The exception of an event, as permissions take it."""
    return PreferenceException(
        practitioner_id=event.practitioner_id,
        exception_id=event.exception_id,
        session_id=event.session_id,
        on=event.on,
        until=event.until,
    )


def _freeze(builder: _Builder) -> ClientFacts:
    consents = sorted(builder.consents, key=lambda one: one[0])
    preferences = sorted(builder.preferences, key=lambda one: one[0])
    reviews = sorted(builder.reviews, key=lambda one: one[0])
    since = preferences[-1][0] if preferences else None
    return ClientFacts(
        consent=consents[-1][1] if consents else TouchConsent(),
        preference=preferences[-1][1] if preferences else None,
        exceptions=tuple(
            made for when, made in builder.exceptions if since is not None and when > since
        ),
        reviewed=reviews[-1][1] if reviews else None,
        reported=tuple(
            content for key, content in builder.reports.items() if key not in builder.covered
        ),
        orders=tuple(
            lifted(order, builder.lifts.get(key)) for key, order in builder.orders.items()
        ),
        record_version=builder.version,
    )


FACTS: Slice[_Builder, ClientFacts] = Slice(
    name="facts",
    folds=(
        ConsentRecorded,
        ConsentDeclined,
        ConsentWithdrawn,
        PreferenceStated,
        PreferenceExceptionAgreed,
        HistoryReported,
        HistoryReviewed,
        OrderFiled,
        OrderLifted,
    ),
    initial=_Builder,
    evolve=_evolve,
    freeze=_freeze,
)
