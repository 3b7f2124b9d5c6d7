"""The operations known on a day, reported and reviewed alike, and what they touched. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from clients.domain.clinical import ClientFacts
from clients.domain.health import HistoryContent, Operation, Site
from clients.domain.terms import OperationKind
from practice.domain.terms import Region


def histories(client: ClientFacts) -> Iterator[HistoryContent]:
    """The reviewed history and whatever was reported since: each narrows, none widens."""
    if client.reviewed is not None:
        yield client.reviewed
    yield from client.reported


def operations(client: ClientFacts, day: date) -> list[Operation]:
    """The operations up to that day; one without a date counts as if it were that day."""
    return [
        operation
        for history in histories(client)
        for operation in history.operations
        if operation.on is None or operation.on <= day
    ]


def operated_sites(
    operation: Operation, regions: Mapping[OperationKind, Sequence[Region]]
) -> list[Site]:
    """The sites an operation touched; of an unknown kind with no region named, all of them.

    ``regions``: those that each kind is known to touch (a practice setting).
    """
    touched = {*regions.get(operation.kind, ()), *operation.regions}
    return [Site(region=region, side=operation.side) for region in sorted(touched or set(Region))]
