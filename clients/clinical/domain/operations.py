"""The operations known on a day, reported and reviewed alike, and what they touched. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.content import BodySite, HistoryContent, Operation
from clients.health.domain.terms import OperationKind
from practice.core.terms import Region


def known_histories(client: ClientFacts) -> Iterator[HistoryContent]:
    """The reviewed history and whatever was reported since: each narrows, none widens."""
    if client.reviewed is not None:
        yield client.reviewed
    yield from client.reported


def known_operations(client: ClientFacts, day: date) -> list[Operation]:
    """The operations up to that day; one without a date counts as if it were that day."""
    return [
        operation
        for history in known_histories(client)
        for operation in history.operations
        if operation.on is None or operation.on <= day
    ]


def operated_sites(
    operation: Operation, regions: Mapping[OperationKind, Sequence[Region]]
) -> list[BodySite]:
    """The sites an operation touched; of an unknown kind with no region named, all of them.

    ``regions``: those that each kind is known to touch (a practice setting).
    """
    touched = {*regions.get(operation.kind, ()), *operation.regions}
    return [
        BodySite(region=region, side=operation.side) for region in sorted(touched or set(Region))
    ]
