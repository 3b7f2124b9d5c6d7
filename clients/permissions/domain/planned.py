"""A planned operation: from its day on a practitioner reviews the history first (ruling 47)."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.operations import known_operations
from clients.identity.domain.partial_dates import date_text
from clients.permissions.domain.findings import (
    PRACTICE_POLICY,
    PermissionFinding,
    clinical_reason,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.terms import Mode


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """From the first day that it can be nothing is by hand until what was done is reviewed."""
    for operation in known_operations(facts.client, facts.day):
        if operation.planned and operation.on is not None:
            when = date_text(operation.on, operation.on_precision)
            text = (
                f"An operation is planned for {when}: from then on nothing by hand until a "
                "practitioner has reviewed what was done."
            )
            reason = clinical_reason("surgery.planned", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
