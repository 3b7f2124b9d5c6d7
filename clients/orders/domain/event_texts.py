"""Orders in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.health.domain.wording import words_text
from clients.orders.domain import events
from clients.orders.domain.terms import OrderKind
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

LIFTED = {
    OrderKind.CLEARANCE: "A clearance was revoked",
    OrderKind.RESTRICTION: "A restriction was lifted",
}
EVENT_TEXTS = EventTexts("orders", label="Order", watches=(events,))


@EVENT_TEXTS.on(events.OrderFiled)
def filed(event: events.OrderFiled, meta: RecordedEvent) -> str:
    order = event.order
    kind = order.kind.replace("_", " ")
    what = f" for {words_text(order.subjects)}" if order.subjects else ""
    end = f", until {order.expires_on.isoformat()}" if order.expires_on else ""
    given = order.given_on.isoformat()
    return f"Filed: {kind}{what} by {order.prescriber_name}, given on {given}{end}."


@EVENT_TEXTS.on(events.OrderLifted)
def lifted(event: events.OrderLifted, meta: RecordedEvent) -> str:
    what = LIFTED.get(event.kind, "An order was lifted")
    return f"{what} by {event.lifted_by} from {event.lifted_on.isoformat()}."


@EVENT_TEXTS.on(events.OrderPrecedenceNamed)
def precedence_named(event: events.OrderPrecedenceNamed, meta: RecordedEvent) -> str:
    stands = "clearance" if event.stands is OrderKind.CLEARANCE else "restriction"
    return f"Of a restriction and a later clearance the {stands} stands, named by {event.named_by}."
