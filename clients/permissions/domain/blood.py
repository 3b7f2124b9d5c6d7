"""Blood counts: what they leave of hands-on work, techniques and load, by how old they are."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.blood_counts import HeededCount, heeded_counts
from clients.clinical.domain.limbs import LoadedLimb
from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.sites import technique_text
from clients.health.domain.terms import BloodCountKind, RedFlag
from clients.health.domain.wording import COUNT_TEXTS
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.findings import (
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode

COUNTS = "PM R 2017;9(9S2), table 2"
MASSAGE = f"{PRACTICE_POLICY}; Ng 2018 on massage: 50 or more"
INFECTION = frozenset({RedFlag.FEVER, RedFlag.HOT_RED_OR_BLOTCHY_LIMB})


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Very few platelets or neutrophils: nothing by hand, the latter save by clearance."""
    for count in _counts(facts, settings, BloodCountKind.PLATELETS):
        if count.is_below(settings.platelets_hands_on):
            text = f"Nothing by hand: {_said(count)}."
            reason = clinical_reason("blood.platelets_hands_on", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
    for count in _counts(facts, settings, BloodCountKind.NEUTROPHILS):
        if count.is_below(settings.neutrophils_clearance) and not _cleared(facts, settings, count):
            text = f"By hand with a physician's clearance only, in no group: {_said(count)}."
            reason = clinical_reason("blood.neutrophils_clearance", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def infection(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    """Few neutrophils and a sign of infection today: nothing."""
    arrival = facts.arrival
    if arrival is None:
        return
    hot = arrival.temperature is not None and arrival.temperature >= settings.fever_celsius
    if not (arrival.fever or hot or INFECTION.intersection(arrival.signs or ())):
        return
    for count in _counts(facts, settings, BloodCountKind.NEUTROPHILS):
        if count.is_below(settings.neutrophils_infection, if_unknown=True):
            text = f"A sign of infection and {_said(count)}: not today. Call the oncologist now."
            yield PermissionFinding(
                Mode.NOT_TODAY, clinical_reason("blood.infection", text, COUNTS)
            )


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Few platelets: no contract-relax and no passive; very few: walking and breathing only."""
    for count in _counts(facts, settings, BloodCountKind.PLATELETS):
        if target.assisted_only and count.is_below(settings.platelets_assisted, if_unknown=True):
            text = f"No {technique_text(target.technique)} stretching: {_said(count)}."
            yield PermissionFinding(
                Mode.NOT_TODAY, clinical_reason("blood.platelets_technique", text, MASSAGE)
            )
        harmless = target.tagged(StretchTag.WALKING, StretchTag.BREATHING)
        if not harmless and count.is_at_most(settings.platelets_walking):
            text = f"Walking and daily activities only: {_said(count)}."
            yield PermissionFinding(
                Mode.NOT_TODAY, clinical_reason("blood.platelets_walking", text, COUNTS)
            )


def for_load(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Few platelets: load is moderate and does not grow; fewer: no external load."""
    for count in _counts(facts, settings, BloodCountKind.PLATELETS):
        if count.is_at_most(settings.platelets_load):
            text = f"Light activity, no external load: {_said(count)}."
            yield PermissionFinding(
                Mode.NOT_TODAY, clinical_reason("blood.platelets_load", text, COUNTS)
            )
        elif count.is_at_most(settings.platelets_progress, if_unknown=True):
            text = f"Moderate, the load does not grow: {_said(count)}."
            reason = clinical_reason("blood.platelets_moderate", text, COUNTS)
            yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)
    for reason in _short(facts, settings):
        yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """What the whole session heeds: short work, and precautions against infection."""
    yield from _short(facts, settings)
    for count in _counts(facts, settings, BloodCountKind.NEUTROPHILS):
        if count.is_below(settings.neutrophils_precautions, if_unknown=True):
            text = (
                f"Precautions against infection: {_said(count)}. Clean hands and equipment; "
                "nobody with a cold near the client."
            )
            yield clinical_reason("blood.neutrophils_precautions", text, COUNTS)
    for count in _counts(facts, settings, BloodCountKind.PLATELETS):
        if count.is_at_most(settings.platelets_walking):
            text = f"Walking and daily activities only: {_said(count)}."
            yield clinical_reason("blood.platelets_walking", text, COUNTS)


def _short(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    for count in _counts(facts, settings, BloodCountKind.HEMOGLOBIN):
        if count.is_below(settings.hemoglobin_short, if_unknown=True):
            text = f"Keep it short and stop at the first symptom: {_said(count)}."
            yield clinical_reason("blood.hemoglobin", text, COUNTS)


def _counts(
    facts: PermissionFacts, settings: PermissionSettings, kind: BloodCountKind
) -> list[HeededCount]:
    # Below this a count that has grown old was low when it was last known.
    low = {
        BloodCountKind.NEUTROPHILS: settings.neutrophils_precautions,
        BloodCountKind.PLATELETS: settings.platelets_assisted,
        BloodCountKind.HEMOGLOBIN: settings.hemoglobin_short,
    }
    return heeded_counts(
        facts.client,
        facts.day,
        kind,
        good_for_days=settings.blood_count_days,
        days_after_chemotherapy=settings.chemotherapy_days_after,
        low=low[kind],
    )


def _cleared(facts: PermissionFacts, settings: PermissionSettings, count: HeededCount) -> bool:
    """Whether a physician cleared the work on the day of the count or since."""
    orders = clearances_in_force(
        on_day(facts, settings), OrderSubject.WORK_WITH_LOW_COUNTS, surgeon=False
    )
    return any(count.drawn_on is not None and one.given_on >= count.drawn_on for one in orders)


def _said(count: HeededCount) -> str:
    number = f"{count.value:g}" if count.drawn_on is not None else "not known"
    text = COUNT_TEXTS[count.kind].format(number)
    if count.drawn_on is None:
        return text
    old = ", too old to count: it is not known now" if count.unknown else ""
    return f"{text} (drawn {count.drawn_on.isoformat()}{old})"
