"""Jurisdiction limits and licences. Unknown law is self-directed for every credential."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from clients.clinical.domain.orders_in_force import in_force
from clients.orders.domain.terms import OrderKind
from clients.permissions.domain.findings import PRACTICE_POLICY, PermissionFinding
from clients.permissions.domain.inputs import (
    JurisdictionLimitFacts,
    LicenceFacts,
    PermissionFacts,
    PractitionerFacts,
)
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Activity, Allowance, Mode, SupervisionLevel

NEARNESS = {
    SupervisionLevel.GENERAL: "can be reached",
    SupervisionLevel.DIRECT: "works at the facility that day",
}


def pathologies(facts: PermissionFacts) -> tuple[bool, ...]:
    """Whether a pathology counts as under treatment: yes, unless a reviewer recorded none.

    Not asked counts as yes.

    Both, where a later report says otherwise than the review: a report frees nothing.
    """
    client = facts.client
    if client.reviewed is None or client.reviewed.pathology_under_treatment is not False:
        return (True,)
    disputed = any(report.pathology_under_treatment is not False for report in client.reported)
    return (True, False) if disputed else (False,)


def limits_in_effect(facts: PermissionFacts, activity: Activity) -> list[JurisdictionLimitFacts]:
    """The rows of the table that speak about this credential, place, day and client."""
    return [row for ill in pathologies(facts) for row in limits_for_pathology(facts, activity, ill)]


def limits_for_pathology(
    facts: PermissionFacts, activity: Activity, pathology: bool
) -> list[JurisdictionLimitFacts]:
    """The same for clients with, or for those without, a pathology under treatment."""
    return [
        row
        for row in _rows(facts, activity, pathology)
        if row.payer_id is None or row.payer_id in facts.payers
    ]


def _rows(
    facts: PermissionFacts, activity: Activity, pathology: bool
) -> list[JurisdictionLimitFacts]:
    return [
        row
        for row in facts.limits
        if row.jurisdiction == facts.facility.jurisdiction
        and row.credential is facts.practitioner.credential
        and row.activity is activity
        and row.pathology in (None, pathology)
        and _in_effect(row, facts.day)
    ]


def law_on(rows: Iterable[JurisdictionLimitFacts], day: date) -> list[JurisdictionLimitFacts]:
    """The rows of one jurisdiction in effect on a day for every client: no payer's are among
    them."""
    return [row for row in rows if row.payer_id is None and _in_effect(row, day)]


def _in_effect(row: JurisdictionLimitFacts, day: date) -> bool:
    """Both days are included."""
    return (row.effective_from is None or row.effective_from <= day) and (
        row.effective_to is None or day <= row.effective_to
    )


def valid_licences(person: PractitionerFacts, jurisdiction: str, day: date) -> list[LicenceFacts]:
    """The licences for the person's credential that are valid there that day; expired is none."""
    return [
        licence
        for licence in person.licences
        if licence.jurisdiction == jurisdiction
        and licence.credential is person.credential
        and (licence.valid_from is None or licence.valid_from <= day)
        and licence.expires_on is not None
        and day <= licence.expires_on
    ]


def licensed(person: PractitionerFacts, jurisdiction: str, day: date) -> bool:
    """Whether one of them is."""
    return bool(valid_licences(person, jurisdiction, day))


def supervised(facts: PermissionFacts, level: SupervisionLevel = SupervisionLevel.DIRECT) -> bool:
    """Whether someone else is named as supervisor who may supervise this credential, is licensed
    there and is as near as ``level`` asks: reachable, so still of the practice, or working there
    that day."""
    supervision = facts.supervision
    if supervision is None or not supervision.entitled:
        return False
    supervisor = supervision.supervisor
    near = supervision.works_there_that_day or level is SupervisionLevel.GENERAL
    return (
        near
        and supervisor.works_here
        and supervisor.practitioner_id != facts.practitioner.practitioner_id
        and licensed(supervisor, facts.facility.jurisdiction, facts.day)
    )


def limits_under_supervision(
    facts: PermissionFacts, activity: Activity
) -> list[JurisdictionLimitFacts]:
    """The rows that allow an activity only under supervision, whoever supervises."""
    return [
        row
        for row in limits_in_effect(facts, activity)
        if row.allowance is Allowance.UNDER_SUPERVISION
    ]


def source_of(row: JurisdictionLimitFacts) -> str:
    """Where a row of law comes from, and on which day the practice verified it, if ever."""
    source = f"{row.source.rstrip('.')}."
    if row.verified_on is None:
        return f"{source} Not verified by this practice."
    return f"{source} Verified on {row.verified_on}."


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """What the law of the place says to stretching by hand under this credential."""
    credential = facts.practitioner.credential
    jurisdiction = facts.facility.jurisdiction
    title = credential.value.replace("_", " ")
    if credential in settings.licensed_credentials and not licensed(
        facts.practitioner, jurisdiction, facts.day
    ):
        text = f"No licence as {title} in {jurisdiction} is valid on that day."
        yield _no("law.licence", text, "licence on record; licensing law of the jurisdiction")
    by_pathology = [
        limits_for_pathology(facts, Activity.ASSISTED_STRETCHING, ill) for ill in pathologies(facts)
    ]
    if not all(any(row.payer_id is None for row in found) for found in by_pathology):
        text = f"Nothing is on record on stretching by hand by a {title} in {jurisdiction}."
        yield _no("law.unknown", text, f"{PRACTICE_POLICY}: unknown law is self-directed")
    for row in (row for found in by_pathology for row in found):
        if row.allowance is Allowance.NOT_ALLOWED:
            text = f"In {jurisdiction} a {title} may not stretch this client by hand."
            yield _no("law.not_allowed", text, source_of(row))
        elif _lacks_supervisor(facts, row):
            text = (
                f"In {jurisdiction} a {title} may stretch this client by hand only under a named "
                "supervisor who may supervise this credential, is licensed there and "
                f"{NEARNESS[row.supervision]}."
            )
            yield _no("law.supervision", text, source_of(row))


def instruction_bars(facts: PermissionFacts) -> list[Reason]:
    """Why this credential may not even instruct exercise there; unknown law bars nothing."""
    title = facts.practitioner.credential.value.replace("_", " ")
    bars = []
    for row in limits_in_effect(facts, Activity.EXERCISE_INSTRUCTION):
        if row.allowance is Allowance.NOT_ALLOWED or _lacks_supervisor(facts, row):
            text = f"In {row.jurisdiction} a {title} may not instruct this client's exercise"
            if row.allowance is Allowance.UNDER_SUPERVISION:
                text += f" without a named supervisor who {NEARNESS[row.supervision]}"
            bars.append(Reason(code="law.instruction", text=f"{text}.", source=source_of(row)))
    return bars


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """Treatment beyond the days or visits that the law allows without a physician.

    The day of the first visit is day 1; visits are those before this session.
    """
    first, visits = facts.treatment.first_visit_on, facts.treatment.visits_before
    signed = any(
        order.kind is OrderKind.PLAN_SIGNATURE and in_force(order, facts.day)
        for order in facts.client.orders
    )
    if signed or first is None:
        return
    days = (facts.day - first).days
    for row in limits_in_effect(facts, Activity.ASSISTED_STRETCHING):
        by_days = row.direct_access_days is not None and days >= row.direct_access_days
        by_visits = row.direct_access_visits is not None and visits >= row.direct_access_visits
        if by_days or by_visits:
            text = (
                f"Treatment without a physician: day {days + 1}, visit {visits + 1}; a "
                "physician's dated signature on the plan of care is asked for."
            )
            yield Reason(code="law.without_physician", text=text, source=source_of(row))


def _lacks_supervisor(facts: PermissionFacts, row: JurisdictionLimitFacts) -> bool:
    return row.allowance is Allowance.UNDER_SUPERVISION and not supervised(facts, row.supervision)


def _no(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.SELF_DIRECTED, Reason(code=code, text=text, source=source))
