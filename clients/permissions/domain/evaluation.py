"""``evaluate``: what may be done in one session, from plain facts. Pure and fail-closed.

Every rule adds findings; the strictest wins and every reason is kept. Rules never
see each other, so that their order does not matter and one more can only narrow.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from clients.permissions.domain import (
    abdomen,
    arrival,
    blood,
    bone,
    clearances,
    competence,
    conditions,
    consent,
    day_questions,
    facility,
    free_words,
    history,
    law,
    load,
    nerves_and_heart,
    orders,
    place,
    planned,
    preference,
    surgery,
    swelling,
    techniques,
    vessels_and_devices,
)
from clients.permissions.domain.findings import (
    PermissionFinding,
    SessionRule,
    StretchTarget,
    TargetRule,
    sorted_reasons,
    targets_by_side,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.results import (
    MODE_WIDTH,
    SessionBound,
    SessionPermissions,
    StretchPermission,
    concerned,
    extent_of,
    narrower,
)
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchSpec
from clients.permissions.domain.used import evaluated_versions
from practice.core.reasons import Reason
from practice.core.terms import Mode, Technique

RULES_VERSION = 4
SESSION_RULES: tuple[SessionRule, ...] = (
    consent.for_session,
    preference.for_session,
    law.for_session,
    facility.for_session,
    competence.for_session,
    place.for_session,
    history.for_session,
    planned.for_session,
    conditions.clot,
    free_words.for_session,
    blood.for_session,
    blood.infection,
    nerves_and_heart.brain,
    arrival.for_session,
    arrival.stop,
)
TARGET_RULES: tuple[TargetRule, ...] = (
    consent.for_target,
    facility.for_target,
    competence.for_target,
    history.nothing_known,
    history.neck,
    history.curls_with_a_neck,
    load.for_target,
    surgery.techniques,
    surgery.resisted_chest,
    surgery.arm_height,
    surgery.incision,
    surgery.donor_incision,
    surgery.head_and_neck,
    abdomen.after_operation,
    bone.fragility,
    bone.metastasis,
    conditions.cording,
    conditions.drooping_shoulder,
    conditions.broken_skin,
    free_words.for_target,
    blood.for_target,
    vessels_and_devices.anticoagulants,
    vessels_and_devices.arm_clot,
    vessels_and_devices.port,
    vessels_and_devices.stoma,
    vessels_and_devices.garment,
    nerves_and_heart.overhead,
    nerves_and_heart.heart,
    nerves_and_heart.numb_feet,
    swelling.lymphedema,
    swelling.watched_limb,
    orders.restrictions,
    arrival.for_target,
    techniques.no_contact,
)


def evaluate(
    facts: PermissionFacts, stretches: Sequence[StretchSpec], settings: PermissionSettings
) -> SessionPermissions:
    """Judge one session: all of it, and each stretch by each of its techniques and sides."""
    general, bars = _general(facts, settings)
    stretch_permissions: list[StretchPermission] = []
    pending = any(finding.pending for finding in general)
    for spec in stretches:
        for targets in targets_by_side(spec):
            found, unanswered = _stretch(facts, targets, settings, general, bars)
            stretch_permissions.extend(found)
            pending = pending or unanswered
    gaps = _gaps(facts, stretches, settings)
    return _session(facts, settings, general, bars, stretch_permissions, pending, gaps)


def evaluate_session(facts: PermissionFacts, settings: PermissionSettings) -> SessionBound:
    """What holds for the whole session, whatever is stretched: quickly, since no stretch is asked.

    ``evaluate`` never finds a wider mode, and the same refusals.
    """
    general, bars = _general(facts, settings)
    mode, why = _settle(general, bars)
    return SessionBound(
        mode=mode,
        reasons=sorted_reasons([*(finding.reason for finding in general), *why]),
        refusals=sorted_reasons(finding.reason for finding in general if finding.refuses),
    )


def _general(
    facts: PermissionFacts, settings: PermissionSettings
) -> tuple[list[PermissionFinding], list[Reason]]:
    """What holds for the whole session, and what bars instruction."""
    found = [finding for rule in SESSION_RULES for finding in rule(facts, settings)]
    return found, law.instruction_bars(facts)


def _gaps(
    facts: PermissionFacts, stretches: Sequence[StretchSpec], settings: PermissionSettings
) -> dict[str, Reason]:
    """What consent and sign-off leave open in all of it, one reason for each code."""
    targets = [one for spec in stretches for side in targets_by_side(spec) for one in side]
    found = [*consent.summary(facts, targets), *competence.summary(facts, targets, settings)]
    return {reason.code: reason for reason in found}


def _stretch(
    facts: PermissionFacts,
    targets: Sequence[StretchTarget],
    settings: PermissionSettings,
    general: list[PermissionFinding],
    bars: list[Reason],
) -> tuple[list[StretchPermission], bool]:
    """The verdicts of one stretch on one side, and whether an answer is still missing."""
    stretch_permissions = []
    pending = False
    for target in targets:
        own = [f for rule in TARGET_RULES for f in rule(facts, target, settings)]
        pending = pending or any(finding.pending for finding in own)
        stretch_permissions.append(_verdict(target, [*general, *own], bars))
    instead = next(
        (v for v in stretch_permissions if v.technique is Technique.ACTIVE_ISOLATED), None
    )
    if instead is None or instead.mode is Mode.NOT_TODAY:
        return stretch_permissions, pending
    return [_offer(stretch_permission) for stretch_permission in stretch_permissions], pending


def _verdict(
    target: StretchTarget, findings: list[PermissionFinding], bars: list[Reason]
) -> StretchPermission:
    limits = techniques.strictest_limits(findings)
    findings = [*findings, *techniques.out_of_reach(target, limits)]
    mode, why = _settle(findings, bars, target)
    planned, _ = _settle([f for f in findings if not f.pending], bars, target)
    return StretchPermission(
        stretch=target.spec.code,
        technique=target.technique,
        side=target.side,
        mode=mode,
        planned=planned,
        limits=limits,
        reasons=sorted_reasons([*(f.reason for f in findings if not f.caution), *why]),
        cautions=sorted_reasons(f.reason for f in findings if f.caution),
    )


def _settle(
    findings: Iterable[PermissionFinding], bars: list[Reason], target: StretchTarget | None = None
) -> tuple[Mode, list[Reason]]:
    """The strictest mode, and what it turns into where the client cannot do it alone."""
    mode = Mode.HANDS_ON
    for finding in findings:
        mode = narrower(mode, finding.mode)
    if mode is not Mode.SELF_DIRECTED:
        return mode, []
    if target is not None and target.assisted_only:
        return Mode.NOT_TODAY, [techniques.not_alone(target).reason]
    return (Mode.NOT_TODAY, bars) if bars else (mode, [])


def _offer(stretch_permission: StretchPermission) -> StretchPermission:
    """Active isolated instead, where an assisted technique may not be used."""
    if (
        stretch_permission.technique is Technique.ACTIVE_ISOLATED
        or stretch_permission.mode is Mode.HANDS_ON
    ):
        return stretch_permission
    return msgspec.structs.replace(stretch_permission, offered_instead=Technique.ACTIVE_ISOLATED)


def _session(
    facts: PermissionFacts,
    settings: PermissionSettings,
    general: list[PermissionFinding],
    bars: list[Reason],
    stretch_permissions: list[StretchPermission],
    pending: bool,
    gaps: dict[str, Reason],
) -> SessionPermissions:
    mode, why = _settle(general, bars)
    planned, _ = _settle([f for f in general if not f.pending], bars)
    reasons = [*(finding.reason for finding in general), *why]
    asked = concerned(stretch_permissions, facts.programme)
    if asked:
        mode = max((v.mode for v in asked), key=MODE_WIDTH.__getitem__)
        planned = max((v.planned for v in asked), key=MODE_WIDTH.__getitem__)
        if mode is not Mode.HANDS_ON:
            reasons.extend(gaps.get(r.code, r) for v in asked for r in v.reasons)
    closed = [f.reason for f in general if f.mode is Mode.NOT_TODAY]
    loading = [*load.history_bars(facts, settings), *closed]
    return SessionPermissions(
        mode=mode,
        planned=planned,
        provisional=pending,
        reasons=sorted_reasons(reasons),
        stretch_permissions=tuple(stretch_permissions),
        versions=evaluated_versions(facts, RULES_VERSION),
        refusals=sorted_reasons(finding.reason for finding in general if finding.refuses),
        exception_id=preference.used_exception_id(facts),
        loading=not loading,
        load_clearance_reasons=sorted_reasons(loading),
        load=load.load_permissions(facts, [*closed, *bars], settings),
        warnings=sorted_reasons(
            [
                *consent.warnings(facts, settings),
                *law.warnings(facts, settings),
                *arrival.warnings(facts, settings),
                *clearances.warnings(facts, settings),
                *orders.warnings(facts, settings),
                *abdomen.warnings(facts, settings),
                *conditions.skin_warnings(facts, settings),
                *blood.warnings(facts, settings),
                *vessels_and_devices.warnings(facts, settings),
                *nerves_and_heart.warnings(facts, settings),
            ]
        ),
        refer_to=_referrals(facts, settings),
        extent=extent_of([v.mode for v in asked] or [mode]),
        planned_extent=extent_of([v.planned for v in asked] or [planned]),
        programme=facts.programme,
        questions=day_questions.open_questions(facts, settings),
    )


def _referrals(facts: PermissionFacts, settings: PermissionSettings) -> tuple[str, ...]:
    """Whom to refer to: by red flag of the day, then by what is suspected; each once."""
    flags = arrival.red_flags(facts, settings)
    found = [settings.refer_to[flag] for flag in flags if flag in settings.refer_to]
    found += [
        sentence
        for kind, sentence in sorted(settings.refer_for_condition.items())
        if conditions.open_suspicions(facts, settings, kind)
    ]
    return tuple(dict.fromkeys(found))
