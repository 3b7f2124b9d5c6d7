"""The operations known on a day, reported and reviewed alike: where, and what healed. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.content import BodySite, HistoryContent, Operation
from clients.health.domain.terms import OperationKind
from practice.core.terms import Region, Side

RegionsByOperation = Mapping[OperationKind, Sequence[Region]]
"""The regions that each kind of operation is known to touch (a practice setting)."""

# Where tissue is taken from. The back's lies on the operated side, the abdomen's in the middle.
BACK_DONORS = frozenset({OperationKind.LATISSIMUS_RECONSTRUCTION})
ABDOMEN_DONORS = frozenset({OperationKind.ABDOMINAL_FLAP})


def known_histories(client: ClientFacts) -> tuple[HistoryContent, ...]:
    """The reviewed history and whatever was reported since: each narrows, none widens."""
    return client.reported if client.reviewed is None else (client.reviewed, *client.reported)


def known_operations(client: ClientFacts, day: date) -> list[Operation]:
    """The operations up to that day; one without a date counts as if it were that day."""
    return [
        operation
        for history in known_histories(client)
        for operation in history.operations
        if operation.first_day is None or operation.first_day <= day
    ]


def operated_sites(operation: Operation, regions: RegionsByOperation) -> list[BodySite]:
    """The sites an operation touched; of an unknown kind with no region named, all of them."""
    touched = {*regions.get(operation.kind, ()), *operation.regions}
    return [
        BodySite(region=region, side=operation.side) for region in sorted(touched or set(Region))
    ]


def weeks_since(operations: Iterable[Operation], day: date) -> int | None:
    """Whole weeks since the latest; None where any date is unknown or there is none."""
    dates = [operation.on for operation in operations]
    known = [on for on in dates if on is not None]
    if not known or len(known) != len(dates):
        return None
    return max((day - max(known)).days, 0) // 7


def donor_site(operation: Operation) -> BodySite | None:
    """Where the tissue of a reconstruction was taken; None where none was."""
    if operation.kind in BACK_DONORS:
        return BodySite(region=Region.UPPER_BACK, side=operation.side)
    if operation.kind in ABDOMEN_DONORS:
        return BodySite(region=Region.ABDOMEN, side=Side.BOTH)
    return None


def incision_is_open(operation: Operation) -> bool:
    """Whether its incision is not recorded as healed; not recorded is not healed."""
    return operation.incision_healed is not True


def open_donor_site(operation: Operation) -> BodySite | None:
    """Its donor site while the incision there is not recorded as healed."""
    return None if operation.donor_incision_healed is True else donor_site(operation)


def drains_are_in(operation: Operation) -> bool:
    """Whether drains are not recorded as out."""
    return operation.drains_out is not True
