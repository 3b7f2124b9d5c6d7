"""Papers that seem to stand and do not, as reasons."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Operation, Order, Site
from clients.domain.orders_in_force import for_stretching, voided
from clients.domain.permissions.findings import PRACTICE_POLICY, clinical, on_day
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from practice.domain.reasons import Reason
from practice.domain.terms import Technique


def warnings(facts: Facts, settings: PermissionSettings) -> Iterator[Reason]:
    """Every leave and clearance still running that an operation voided, and why it is void."""
    for order, operated in voided(on_day(facts, settings)):
        yield _void(order, operated)


def void_for_technique(
    facts: Facts, settings: PermissionSettings, technique: Technique, sites: list[Site]
) -> Iterator[Reason]:
    """The same for the leaves that would have opened a technique on these sites."""
    for order, operated in voided(on_day(facts, settings)):
        if for_stretching(order, technique, sites):
            yield _void(order, operated)


def _void(order: Order, operated: list[Operation]) -> Reason:
    dates = [operation.on for operation in operated if operation.on is not None]
    when = f"of {max(dates).isoformat()}" if dates else "of unknown date"
    text = (
        f"The {order.kind.value} of {order.given_on.isoformat()} by {order.given_by} does "
        f"not count any more: the operation {when} came on that day or after it. A new "
        "one is needed."
    )
    return clinical("leave.void", text, PRACTICE_POLICY)
