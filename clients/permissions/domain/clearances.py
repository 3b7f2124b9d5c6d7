"""Papers that seem to stand and do not, as reasons."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.orders_in_force import is_for_stretching, voided_clearances
from clients.health.domain.content import BodySite, Operation
from clients.orders.domain.order import MedicalOrder
from clients.permissions.domain.findings import PRACTICE_POLICY, clinical_reason, on_day
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Technique


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """Every clearance still running that an operation voided, and why it is void."""
    for order, operated in voided_clearances(on_day(facts, settings)):
        yield _void(order, operated)


def void_for_technique(
    facts: PermissionFacts,
    settings: PermissionSettings,
    technique: Technique,
    sites: list[BodySite],
) -> Iterator[Reason]:
    """The same for the clearances that would have opened a technique on these sites."""
    for order, operated in voided_clearances(on_day(facts, settings)):
        if is_for_stretching(order, technique, sites):
            yield _void(order, operated)


def _void(order: MedicalOrder, operated: list[Operation]) -> Reason:
    dates = [operation.on for operation in operated if operation.on is not None]
    paper = f"The {order.kind.value} of {order.given_on.isoformat()} by {order.prescriber_name}"
    if dates:
        text = (
            f"{paper} does not count any more: the operation of {max(dates).isoformat()} came on "
            "that day or after it. A new one is needed."
        )
    else:
        text = (
            f"{paper} does not count: an operation of unknown date may have come after it. Put "
            "down when it was (a year will do), or a new one is needed."
        )
    return clinical_reason("clearance.void", text, PRACTICE_POLICY)
