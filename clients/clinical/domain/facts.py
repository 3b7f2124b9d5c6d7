"""What is known of the client, read together from the slices of health, orders, consent and
preference: what permissions and every other rule about the body are judged by.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

import msgspec

from clients.consent.domain.state import CONSENT, ConsentFacts
from clients.health.domain.content import HistoryContent
from clients.health.domain.state import HEALTH
from clients.identity.domain.state import IDENTITY
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import ORDERS
from clients.preference.domain.state import PREFERENCE, PreferenceException, ProviderPreference
from practice.core.decisions import Slice, States
from practice.core.events import Event, RecordedEvent

CLIENT_FACTS: tuple[Slice[Any, Any], ...] = (
    IDENTITY,
    HEALTH,
    ORDERS,
    CONSENT,
    PREFERENCE,
)
FACT_EVENTS: tuple[type[Event], ...] = tuple(cls for part in CLIENT_FACTS for cls in part.handles)


class ClientFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What the client's own record says, read together by ``client_facts``.

    ``reported`` is a history that no practitioner has reviewed yet: it only narrows.
    ``exceptions`` belong to the preference. ``record_version`` is the version of the
    client's stream at the latest of these facts. ``birth_date`` None: not known; ``language``
    of the client, BCP 47.
    """

    consent: ConsentFacts = ConsentFacts()
    preference: ProviderPreference | None = None
    exceptions: tuple[PreferenceException, ...] = ()
    reviewed: HistoryContent | None = None
    reported: tuple[HistoryContent, ...] = ()
    orders: tuple[MedicalOrder, ...] = ()
    birth_date: date | None = None
    language: str = ""
    record_version: int = 0


def client_facts(states: States) -> ClientFacts:
    """The facts of a client whose states hold the slices of ``CLIENT_FACTS``."""
    identity, health, orders = states[IDENTITY], states[HEALTH], states[ORDERS]
    consent, preference = states[CONSENT], states[PREFERENCE]
    return ClientFacts(
        consent=consent.touch,
        preference=preference.preference,
        exceptions=preference.exceptions,
        reviewed=health.reviewed,
        reported=tuple(report.content for report in health.open_reports),
        orders=orders.orders,
        birth_date=identity.details.birth_date if identity.details else None,
        language=identity.details.language if identity.details else "",
        record_version=max(
            identity.version, health.version, orders.version, consent.version, preference.version
        ),
    )


def facts_of(events: Iterable[RecordedEvent]) -> ClientFacts:
    """The facts that some events of one client make; events of other kinds are passed over."""
    builders = {part.name: part.initial() for part in CLIENT_FACTS}
    for recorded in events:
        for part in CLIENT_FACTS:
            part.apply(builders[part.name], recorded)
    return client_facts(
        States({part.name: part.freeze(builders[part.name]) for part in CLIENT_FACTS})
    )
