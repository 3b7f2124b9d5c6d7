"""One plain sentence for each kind of event, for the history of a record.

Higher floors add theirs with ``@says(EventClass)``; without one the event's name is
turned into words.
"""

from __future__ import annotations

from clients.health.domain.wording import words_text
from clients.identity.domain.event_texts import event_text
from clients.orders.domain.events import OrderFiled, OrderLifted
from clients.orders.domain.terms import OrderKind

LIFTED = {
    OrderKind.CLEARANCE: "A clearance was revoked",
    OrderKind.RESTRICTION: "A restriction was lifted",
}


@event_text(OrderFiled)
def _filed(event: OrderFiled) -> str:
    order = event.order
    kind = order.kind.replace("_", " ")
    what = f" for {words_text(order.subjects)}" if order.subjects else ""
    end = f", until {order.expires_on.isoformat()}" if order.expires_on else ""
    given = order.given_on.isoformat()
    return f"Filed: {kind}{what} by {order.prescriber_name}, given on {given}{end}."


@event_text(OrderLifted)
def _lifted(event: OrderLifted) -> str:
    what = LIFTED.get(event.kind, "An order was lifted")
    return f"{what} by {event.lifted_by} from {event.lifted_on.isoformat()}."
