"""Decisions on the stretches: prescribe, start, discharge, bring back, end. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from uuid import UUID

from clients.health.domain.sites import technique_text
from clients.health.domain.wording import words_text
from clients.permissions.domain.results import SessionPermissions
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent, Event
from practice.core.localtime import local_day
from practice.core.reasons import Audience, Reason, Rejected, invalid
from practice.core.terms import Mode, Technique
from sessions.catalogue.domain.content import StretchContent
from sessions.catalogue.domain.doses import check_dose, technique_words
from sessions.catalogue.domain.terms import Dose
from sessions.measurements.domain.decisions import dated_event
from sessions.stretches.domain.commands import (
    DischargeStretch,
    PrescribeStretch,
)
from sessions.stretches.domain.events import (
    ResumedBy,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)
from sessions.stretches.domain.goal_progress import GoalStandings
from sessions.stretches.domain.prescribing import (
    CatalogueFacts,
    check_stretch_side,
    prescribing_warnings,
    standing_prescription,
)
from sessions.stretches.domain.prescription_state import PrescriptionState, StretchStatus
from sessions.stretches.domain.recheck_dates import RecheckPlan
from sessions.stretches.domain.state import StretchesState


def _techniques(command: PrescribeStretch, content: StretchContent) -> tuple[Technique, ...]:
    wanted = command.techniques or content.techniques[:1]
    foreign = [t for t in wanted if t not in content.techniques]
    if foreign:
        raise invalid(
            "techniques",
            f"{content.name} is not done {technique_text(foreign[0])}; "
            f"it is done: {words_text(content.techniques)}.",
        )
    if len(set(wanted)) != len(wanted):
        raise invalid("techniques", "Name each technique once.")
    return tuple(wanted)


def _doses(
    command: PrescribeStretch, content: StretchContent, techniques: tuple[Technique, ...]
) -> tuple[Dose, ...]:
    given: Mapping[Technique, Dose] = {dose.technique: dose for dose in command.doses}
    stray = [t for t in given if t not in techniques]
    if stray or len(given) != len(command.doses):
        raise invalid("doses", "Give one dose for each technique that is prescribed.")
    for dose in command.doses:
        check_dose(dose)
    usual = {dose.technique: dose for dose in content.doses}
    return tuple(given.get(t, usual[t]) for t in techniques)


def decide_prescription(
    state: StretchesState, command: PrescribeStretch, facts: CatalogueFacts, ctx: Context
) -> Decided:
    """A stretch of the catalogue prescribed to the client, once per side."""
    content = facts.content
    check_stretch_side(content, command.side)
    for key, one in state.prescriptions.items():
        same = (one.prescribed.stretch, one.prescribed.side) == (command.stretch, command.side)
        if same and one.status is not StretchStatus.ENDED:
            again = " Bring it back instead." if one.status is StretchStatus.DISCHARGED else ""
            raise Rejected(
                "already_prescribed",
                f"This stretch is prescribed already, as {one.status.value}.{again}",
                extra={"prescription_id": str(key), "status": one.status.value},
            )
    techniques = _techniques(command, content)
    doses = _doses(command, content, techniques)
    event = StretchPrescribed(
        prescription_id=ctx.new_id(),
        stretch=command.stretch,
        name=content.name,
        catalogue_version=facts.version,
        side=command.side,
        techniques=techniques,
        doses=doses,
        movements=content.movements,
        findings=command.findings,
        eases_pain=command.eases_pain,
        facility_id=command.facility_id,
        session_id=command.session_id,
        warnings=tuple(w.text for w in prescribing_warnings(doses, facts)),
        reason=command.reason,
    )
    return [dated_event(event, command.occurred_at, ctx)]


def not_permitted_now(made: StretchPrescribed, evaluations: SessionPermissions) -> list[Reason]:
    """A warning for each technique of a prescription that may not be done now, and why not."""
    warnings: list[Reason] = []
    for technique in made.techniques:
        stretch_permission = evaluations.stretch_permission(made.stretch, technique, made.side)
        if stretch_permission is None or stretch_permission.mode is not Mode.NOT_TODAY:
            continue
        why = " ".join(reason.text for reason in stretch_permission.reasons)
        sources = "; ".join(dict.fromkeys(reason.source for reason in stretch_permission.reasons))
        text = f"{technique_words(technique)} is not permitted now: {why}"
        warnings.append(
            Reason(code="not_permitted_now", text=text, source=sources, audience=Audience.CLINICAL)
        )
    return warnings


def _not_before(at: datetime, earlier: datetime, what: str, zone: str) -> None:
    if at < earlier:
        day = local_day(earlier, zone)
        raise invalid(
            "occurred_at", f"It cannot lie before the stretch was {what} on {day:%Y-%m-%d}."
        )


def decide_start(
    state: StretchesState,
    prescription_id: UUID,
    *,
    session_id: UUID | None,
    occurred_at: datetime | None,
    ctx: Context,
    zone: str = "UTC",
) -> Decided:
    """The client has begun; a repeat changes nothing. Days are told in ``zone``."""
    one = standing_prescription(state, prescription_id)
    if one.status is StretchStatus.ACTIVE:
        return []
    if one.status is not StretchStatus.PRESCRIBED:
        raise _wrong_standing(one, "started")
    event = StretchStarted(prescription_id=prescription_id, session_id=session_id)
    dated = dated_event(event, occurred_at, ctx)
    _not_before(dated.occurred_at, one.prescribed_at, "prescribed", zone)
    return [dated]


def _wrong_standing(one: PrescriptionState, wanted: str) -> Rejected:
    return Rejected(
        "wrong_standing",
        f"A stretch that is {one.status.value} cannot be {wanted}.",
        extra={"status": one.status.value},
    )


def decide_discharge(
    state: StretchesState,
    command: DischargeStretch,
    standings: Callable[[PrescriptionState, datetime], GoalStandings],
    plan: RecheckPlan,
    *,
    policy_revision: int,
    ctx: Context,
) -> Decided:
    """Discharge and its re-checks, counted from the local day on which it happened.

    ``standings`` says where each movement, posture finding and pain stood at that
    time. Raises Rejected 409 ``nothing_measured`` where a movement has no active
    reading, 400 where the goal is not reached and no reason is given.
    """
    one = standing_prescription(state, command.prescription_id)
    if one.status is not StretchStatus.ACTIVE or one.active_since is None:
        raise _wrong_standing(one, "discharged")
    at = command.occurred_at or ctx.now
    if at > ctx.now:
        raise invalid(
            "occurred_at", f"That time has not come yet; it is {ctx.now.isoformat()} now."
        )
    _not_before(at, one.active_since, "started", command.zone)
    found = standings(one, at)
    if found.missing:
        raise Rejected(
            "nothing_measured",
            f"Record an active reading first: {', '.join(found.missing)}.",
            extra={"missing": found.missing},
        )
    if not found.at_goal and not command.reason.strip():
        raise invalid(
            "reason", f"Not at goal ({'; '.join(found.short_of_goal)}): say why it is discharged."
        )
    discharged_on = local_day(at, command.zone)
    event = StretchDischarged(
        prescription_id=command.prescription_id,
        discharged_on=discharged_on,
        references=found.references,
        postures=found.postures,
        pain_reading_id=found.pain_reading_id,
        pain=found.pain,
        at_goal=found.at_goal,
        reason=command.reason,
        planned=plan.first(discharged_on),
        facility_id=command.facility_id,
        practitioner_id=ctx.actor.practitioner_id,
        zone=command.zone,
        intervals=plan.policy.intervals_months,
        then_every=plan.policy.then_every_months,
        lead_days=plan.policy.lead_days,
        policy_revision=policy_revision,
    )
    return [DatedEvent(event, at)]


def _open_ids(state: StretchesState, prescription_id: UUID) -> tuple[UUID, ...]:
    return tuple(r.planned.recheck_id for r in state.open_rechecks(prescription_id))


def decide_resume(
    state: StretchesState, prescription_id: UUID, reason: str, ctx: Context
) -> Decided:
    """The practitioner brings a discharged stretch back, at any loss, with a reason."""
    one = standing_prescription(state, prescription_id)
    if one.status is StretchStatus.ACTIVE:
        return []
    if one.status is not StretchStatus.DISCHARGED:
        raise _wrong_standing(one, "brought back")
    if not reason.strip():
        raise invalid("reason", "Say why the stretch comes back.")
    return [
        StretchResumed(
            prescription_id=prescription_id,
            by=ResumedBy.PRACTITIONER,
            reason=reason,
            cancelled=_open_ids(state, prescription_id),
        )
    ]


def decide_end(state: StretchesState, prescription_id: UUID, reason: str) -> Decided:
    """Ended for good; open re-checks fall away. A repeat changes nothing."""
    one = standing_prescription(state, prescription_id)
    if one.status is StretchStatus.ENDED:
        return []
    if not reason.strip():
        raise invalid("reason", "Say why the stretch is ended.")
    return [
        StretchEnded(
            prescription_id=prescription_id,
            reason=reason,
            cancelled=_open_ids(state, prescription_id),
        )
    ]


def end_all_stretches(state: StretchesState, reason: str) -> list[Event]:
    """Every stretch still prescribed is ended: the client has left."""
    return [
        StretchEnded(prescription_id=key, reason=reason, cancelled=_open_ids(state, key))
        for key, one in state.prescriptions.items()
        if one.status is not StretchStatus.ENDED
    ]
