"""Operations of abdomen and pelvis known on a day. Pure."""

from __future__ import annotations

from clients.clinical.domain.limbs import TRUNK_REGIONS
from clients.clinical.domain.operations import (
    ABDOMEN_DONORS,
    incision_is_open,
    known_operations,
    open_donor_site,
    operated_sites,
)
from clients.clinical.domain.orders_in_force import ClientOnDay
from clients.health.domain.content import Operation
from clients.health.domain.terms import OperationKind

ABDOMINAL_KINDS = frozenset(
    {
        OperationKind.ABDOMINAL,
        OperationKind.PELVIC,
        OperationKind.PROSTATECTOMY,
        OperationKind.HYSTERECTOMY,
        OperationKind.PELVIC_FLOOR,
        OperationKind.STOMA,
        *ABDOMEN_DONORS,
    }
)


def abdominal_operations(known: ClientOnDay) -> list[Operation]:
    """Those of abdomen or pelvis, and any other that touched the abdomen or the lower back."""
    return [
        operation
        for operation in known_operations(known.client, known.day)
        if operation.kind in ABDOMINAL_KINDS
        or any(site.region in TRUNK_REGIONS for site in operated_sites(operation, known.regions))
    ]


def flaps(known: ClientOnDay) -> list[Operation]:
    """The operations that took a flap from the abdomen."""
    return [one for one in abdominal_operations(known) if one.kind in ABDOMEN_DONORS]


def abdomen_is_open(operation: Operation) -> bool:
    """Whether the incision in the abdomen, of a flap the donor's, is not recorded as healed."""
    if operation.kind in ABDOMEN_DONORS:
        return open_donor_site(operation) is not None
    return incision_is_open(operation)
