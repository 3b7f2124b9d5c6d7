"""The health history itself: reviewed or not, and the neck."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.operations import known_histories
from clients.health.domain.terms import NeckHistory
from clients.permissions.domain.findings import (
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode, Region

HARMLESS = (StretchTag.BREATHING, StretchTag.WALKING)
TRUNK = (
    StretchTag.TILT,
    StretchTag.KNEE_ROLL,
    StretchTag.CURL,
    StretchTag.TRUNK_BEND,
    StretchTag.TRUNK_TWIST,
    StretchTag.LOADING,
)
CENTRAL = frozenset({Region.ABDOMEN, Region.HIP})


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Nothing is hands-on before a practitioner has reviewed a health history."""
    if facts.client.reviewed is None:
        text = "No practitioner has reviewed the health history yet."
        reason = Reason(code="history.not_reviewed", text=text, source=PRACTICE_POLICY)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def nothing_known(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Work of the trunk, abdomen and hips and loading wait for a history.

    What is not known could be a flap, fragile bone or a metastasis in the spine: knowing
    nothing is never wider than knowing something. A report frees nothing, so that this
    ends with a review.
    """
    if facts.client.reviewed is not None or target.tagged(*HARMLESS):
        return
    central = any(site.region in CENTRAL for site in target.pulls)
    if not central and not target.tagged(*TRUNK):
        return
    if facts.client.reported:
        text = "The health history is only reported: it frees this once a practitioner reviewed it."
        reason = Reason(code="history.only_reported", text=text, source=PRACTICE_POLICY)
    else:
        text = "No health history is on record: ask for it first."
        reason = Reason(code="history.none", text=text, source=PRACTICE_POLICY)
    yield PermissionFinding(Mode.NOT_TODAY, reason)


def curls_with_a_neck(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Curls lift the head on the floor: with neck trouble upright instead."""
    trouble = {NeckHistory.INJURY, NeckHistory.DISC_TROUBLE}
    if target.tagged(StretchTag.CURL) and any(
        h.neck in trouble for h in known_histories(facts.client)
    ):
        text = "Neck trouble: curls not on the floor, upright instead."
        reason = clinical_reason("neck.curls", text, f"{COMMON_PRACTICE}, no source")
        yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def neck(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Neck stretches wait for the question; injury or disc trouble stays self-directed."""
    if not target.neck:
        return
    reviewed = facts.client.reviewed
    if reviewed is None or reviewed.neck is NeckHistory.NOT_ASKED:
        text = "A practitioner has not asked about the neck yet; not asked is not none."
        yield PermissionFinding(
            Mode.SELF_DIRECTED,
            clinical_reason("neck.not_asked", text, f"{COMMON_PRACTICE}, no source"),
        )
    known = {history.neck for history in known_histories(facts.client)}
    if NeckHistory.INJURY in known:
        text = "After a neck injury the client stretches the neck alone."
        yield PermissionFinding(
            Mode.SELF_DIRECTED,
            clinical_reason("neck.injury", text, f"{COMMON_PRACTICE}, no source"),
        )
    if NeckHistory.DISC_TROUBLE in known:
        text = (
            "With cervical disc trouble the client stretches the neck alone; no order lifts that."
        )
        yield PermissionFinding(
            Mode.SELF_DIRECTED, clinical_reason("neck.disc", text, f"{COMMON_PRACTICE}, no source")
        )
