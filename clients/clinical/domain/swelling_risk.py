"""Who is at risk of arm swelling. Pure."""

from __future__ import annotations

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.terms import ConditionKind, OperationKind
from practice.core.terms import Region

NODES_OUT = frozenset({OperationKind.AXILLARY_DISSECTION, OperationKind.SENTINEL_BIOPSY})
IRRADIATED = frozenset({Region.CHEST, Region.SHOULDER, Region.ARM, Region.UPPER_BACK})


def at_risk_of_arm_swelling(client: ClientFacts) -> bool:
    """Nodes out by dissection or sentinel biopsy, irradiated at breast, axilla or thorax, or
    lymphedema known. A report that nobody has reviewed counts: it only adds care.

    Common practice, no source.
    """
    return any(
        any(operation.kind in NODES_OUT for operation in history.operations)
        or any(site.region in IRRADIATED for course in history.radiations for site in course.sites)
        or any(one.kind is ConditionKind.LYMPHEDEMA for one in history.conditions)
        for history in known_histories(client)
    )
