"""Decisions on the stretch programme: prescribe, start, discharge, bring back, end. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clients.domain.permissions.outputs import Judgement
from clients.domain.stretches import StretchTag
from practice.domain.decisions import Context, Decided
from practice.domain.events import Event, Happened
from practice.domain.localtime import local_day
from practice.domain.reasons import Audience, Reason, Rejected, invalid, not_found
from practice.domain.terms import Mode, Region, Side, Technique
from sessions.domain.catalogue.content import StretchContent
from sessions.domain.catalogue.doses import check_dose, dose_warnings, technique_words
from sessions.domain.catalogue.settings import DoseSettings
from sessions.domain.catalogue.terms import Dose
from sessions.domain.motion.deciding import happened
from sessions.domain.programme.commands import (
    DischargeStretch,
    PrescribeStretch,
    TeachHomeExercise,
)
from sessions.domain.programme.dates import RecheckPlan
from sessions.domain.programme.events import (
    HomeExerciseTakenBack,
    HomeExerciseTaught,
    ResumedBy,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)
from sessions.domain.programme.goalcheck import Standings
from sessions.domain.programme.state import Prescription, ProgrammeState, Standing


@dataclass(frozen=True)
class CatalogueFacts:
    """The catalogue's entry that is prescribed, and what doses are usual."""

    content: StretchContent
    version: int
    doses: DoseSettings


def standing_prescription(state: ProgrammeState, prescription_id: UUID) -> Prescription:
    """The prescription, or 404."""
    found = state.prescriptions.get(prescription_id)
    if found is None:
        raise not_found("stretch on this client's programme")
    return found


def check_stretch_side(content: StretchContent, side: Side) -> None:
    """Refuse a side that the stretch is not done on (400)."""
    one_for_both = content.two_armed or not content.sided
    if one_for_both and side is not Side.BOTH:
        raise invalid("side", "This stretch is for both sides at once: give 'both'.")
    if not one_for_both and side is Side.BOTH:
        raise invalid("side", "This stretch is done on one side: give 'left' or 'right'.")


def _techniques(command: PrescribeStretch, content: StretchContent) -> tuple[Technique, ...]:
    wanted = command.techniques or content.techniques[:1]
    foreign = [t for t in wanted if t not in content.techniques]
    if foreign:
        raise invalid(
            "techniques",
            f"{content.name} is not done {foreign[0].value}; "
            f"it is done: {', '.join(content.techniques)}.",
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


def prescribing_warnings(doses: tuple[Dose, ...], facts: CatalogueFacts) -> list[Reason]:
    """What is outside the usual in the doses; accepted all the same.

    Preparation and walking are no stretches: nothing is usual for them.
    """
    if {StretchTag.PREPARATION, StretchTag.WALKING} & set(facts.content.tags):
        return []
    neck = facts.content.region is Region.HEAD_AND_NECK
    return [w for dose in doses for w in dose_warnings(dose, facts.doses, neck=neck)]


def decide_prescription(
    state: ProgrammeState, command: PrescribeStretch, facts: CatalogueFacts, ctx: Context
) -> Decided:
    """A stretch of the catalogue on the client's programme, once per side."""
    content = facts.content
    check_stretch_side(content, command.side)
    for key, one in state.prescriptions.items():
        same = (one.prescribed.stretch, one.prescribed.side) == (command.stretch, command.side)
        if same and one.standing is not Standing.ENDED:
            again = " Bring it back instead." if one.standing is Standing.DISCHARGED else ""
            raise Rejected(
                "already_on_programme",
                f"This stretch is on the programme as {one.standing.value}.{again}",
                extra={"prescription_id": str(key), "standing": one.standing.value},
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
    return [happened(event, command.at, ctx)]


def not_permitted_now(made: StretchPrescribed, judged: Judgement) -> list[Reason]:
    """A warning for each technique of a prescription that may not be done now, and why not."""
    warnings: list[Reason] = []
    for technique in made.techniques:
        verdict = judged.verdict(made.stretch, technique, made.side)
        if verdict is None or verdict.mode is not Mode.NOT_TODAY:
            continue
        why = " ".join(reason.text for reason in verdict.reasons)
        sources = "; ".join(dict.fromkeys(reason.source for reason in verdict.reasons))
        text = f"{technique_words(technique)} is not permitted now: {why}"
        warnings.append(
            Reason(code="not_permitted_now", text=text, source=sources, audience=Audience.CLINICAL)
        )
    return warnings


def _not_before(at: datetime, earlier: datetime, what: str, zone: str) -> None:
    if at < earlier:
        day = local_day(earlier, zone)
        raise invalid("at", f"It cannot lie before the stretch was {what} on {day:%Y-%m-%d}.")


def decide_start(
    state: ProgrammeState,
    prescription_id: UUID,
    *,
    session_id: UUID | None,
    at: datetime | None,
    ctx: Context,
    zone: str = "UTC",
) -> Decided:
    """The client has begun; a repeat changes nothing. Days are told in ``zone``."""
    one = standing_prescription(state, prescription_id)
    if one.standing is Standing.ACTIVE:
        return []
    if one.standing is not Standing.PRESCRIBED:
        raise _wrong_standing(one, "started")
    event = StretchStarted(prescription_id=prescription_id, session_id=session_id)
    dated = happened(event, at, ctx)
    _not_before(dated.at, one.prescribed_at, "prescribed", zone)
    return [dated]


def _wrong_standing(one: Prescription, wanted: str) -> Rejected:
    return Rejected(
        "wrong_standing",
        f"A stretch that is {one.standing.value} cannot be {wanted}.",
        extra={"standing": one.standing.value},
    )


def decide_discharge(
    state: ProgrammeState,
    command: DischargeStretch,
    standings: Callable[[Prescription, datetime], Standings],
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
    if one.standing is not Standing.ACTIVE or one.active_since is None:
        raise _wrong_standing(one, "discharged")
    at = command.at or ctx.now
    if at > ctx.now:
        raise invalid("at", f"That time has not come yet; it is {ctx.now.isoformat()} now.")
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
            "reason", f"Not at goal ({'; '.join(found.short)}): say why it is discharged."
        )
    discharged_on = local_day(at, command.zone)
    event = StretchDischarged(
        prescription_id=command.prescription_id,
        discharged_on=discharged_on,
        references=found.references,
        postures=found.postures,
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
    return [Happened(event, at)]


def _open_ids(state: ProgrammeState, prescription_id: UUID) -> tuple[UUID, ...]:
    return tuple(r.planned.recheck_id for r in state.open_rechecks(prescription_id))


def decide_resume(
    state: ProgrammeState, prescription_id: UUID, reason: str, ctx: Context
) -> Decided:
    """The practitioner brings a discharged stretch back, at any loss, with a reason."""
    one = standing_prescription(state, prescription_id)
    if one.standing is Standing.ACTIVE:
        return []
    if one.standing is not Standing.DISCHARGED:
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


def decide_end(state: ProgrammeState, prescription_id: UUID, reason: str) -> Decided:
    """Off the programme for good; open re-checks fall away. A repeat changes nothing."""
    one = standing_prescription(state, prescription_id)
    if one.standing is Standing.ENDED:
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


def end_all(state: ProgrammeState, reason: str) -> list[Event]:
    """Everything still on the programme is ended: the client has left."""
    return [
        StretchEnded(prescription_id=key, reason=reason, cancelled=_open_ids(state, key))
        for key, one in state.prescriptions.items()
        if one.standing is not Standing.ENDED
    ]


def decide_teaching(
    state: ProgrammeState, command: TeachHomeExercise, facts: CatalogueFacts, ctx: Context
) -> Decided:
    """A home exercise: active isolated by the client herself, with signs to stop at."""
    check_stretch_side(facts.content, command.side)
    if command.dose.technique is not Technique.ACTIVE_ISOLATED:
        raise invalid("dose", "At home she works by herself: give a dose of active_isolated.")
    if Technique.ACTIVE_ISOLATED not in facts.content.techniques:
        raise invalid("stretch", "This stretch is not one that a client can do by herself.")
    check_dose(command.dose)
    if not [sign for sign in command.stop_signs if sign.strip()]:
        raise invalid("stop_signs", "Name at least one sign at which she stops.")
    if command.prescription_id is not None:
        standing_prescription(state, command.prescription_id)
    return [
        HomeExerciseTaught(
            home_exercise_id=ctx.new_id(),
            prescription_id=command.prescription_id,
            stretch=command.stretch,
            name=facts.content.name,
            catalogue_version=facts.version,
            side=command.side,
            dose=command.dose,
            stop_signs=command.stop_signs,
            taught_on=command.taught_on,
            taught_by=command.taught_by,
        )
    ]


def decide_taking_back(state: ProgrammeState, home_exercise_id: UUID, reason: str) -> Decided:
    """A home exercise is taken back; a repeat changes nothing."""
    if home_exercise_id in state.taken_back:
        return []
    if home_exercise_id not in state.home:
        raise not_found("home exercise")
    if not reason.strip():
        raise invalid("reason", "Say why it is taken back.")
    return [HomeExerciseTakenBack(home_exercise_id=home_exercise_id, reason=reason)]
