"""Arrival answers and stops as permissions take them, and their snapshot. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import msgspec

from clients.health.domain.terms import RedFlag
from clients.permissions.domain import inputs
from clients.permissions.domain.arrival import red_flags
from clients.permissions.domain.evaluation import evaluate, evaluate_session
from clients.permissions.domain.inputs import (
    ArrivalAnswers,
    PainFreeHeight,
    PermissionFacts,
    SwollenLimb,
)
from clients.permissions.domain.results import SessionBound, by_hand, on_programme
from clients.permissions.domain.results import SessionPermissions as Verdicts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchSpec
from practice.core.reasons import Reason
from sessions.assessment.domain.said_today import with_said_today
from sessions.assessment.domain.standing_signs import NO_SIGNS, StandingSigns
from sessions.calendar.domain.narrowing import OF_TECHNIQUE
from sessions.calendar.domain.session_state import SessionStop
from sessions.calendar.domain.stretch_groups import grouped, key_of, stretch_sets
from sessions.calendar.domain.terms import (
    HandsOnToday,
    KeptRow,
    PermissionsSnapshot,
    SubmittedArrivalAnswers,
)

UNEVENTFUL_ARRIVAL = ArrivalAnswers(
    hands_on_today=True,
    pain=0,
    fever=False,
    swelling=(),
    signs=(),
    companion_present=True,
    interpreter_present=True,
    needle_in_port=False,
    skin_broken=False,
)
"""A session is planned as it may be if nothing stands against it on the day."""


@dataclass(frozen=True, kw_only=True)
class Assessment:
    """One session ready to be evaluated: its facts, the catalogue and the settings.

    ``revisions`` are those of the groups of settings used, by name.
    """

    facts: PermissionFacts
    stretches: Sequence[StretchSpec]
    settings: PermissionSettings
    revisions: dict[str, int] = field(default_factory=dict)

    def evaluated(self) -> Verdicts:
        """The permissions, each with every reason."""
        return evaluate(self.facts, self.stretches, self.settings)

    def planned(self) -> Verdicts:
        """The permissions for a day on which the arrival answers bring nothing new."""
        return evaluate(self._uneventful(), self.stretches, self.settings)

    def planned_bound(self) -> SessionBound:
        """What ``planned`` cannot exceed, without asking any stretch."""
        return evaluate_session(self._uneventful(), self.settings)

    def _uneventful(self) -> PermissionFacts:
        return msgspec.structs.replace(self.facts, arrival=UNEVENTFUL_ARRIVAL, stop=None)

    def snapshot(
        self, session_permissions: Verdicts, *, provisional: bool | None = None
    ) -> PermissionsSnapshot:
        """The permissions as they are stored with a booking, an arrival or a signature."""
        versions = session_permissions.versions
        stretches, stretch_reasons = grouped(session_permissions.stretch_permissions)
        programme = [
            key_of(one)
            for one in session_permissions.stretch_permissions
            if by_hand(one) and on_programme(one, session_permissions.programme)
        ]
        return PermissionsSnapshot(
            mode=session_permissions.mode,
            reasons=session_reasons(session_permissions.reasons),
            provisional=session_permissions.provisional if provisional is None else provisional,
            rules=versions.rules,
            settings=dict(self.revisions),
            record=versions.record,
            catalogue=versions.catalogue,
            consent_id=versions.consent_id,
            limit_rows=versions.limit_rows,
            extent=session_permissions.extent,
            planned_extent=session_permissions.planned_extent,
            rows=tuple(KeptRow(kind=r.kind, id=r.id, revision=r.revision) for r in versions.rows),
            orders=versions.orders,
            stretches=stretches,
            stretch_reasons=stretch_reasons,
            programme=stretch_sets(programme),
        )


def session_reasons(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    """Without what is so of a technique whoever does it, where anything else stands against it."""
    told = tuple(one for one in reasons if not one.code.startswith(OF_TECHNIQUE))
    return told or reasons


def arrival_input(
    answers: SubmittedArrivalAnswers | None, signs: StandingSigns = NO_SIGNS
) -> ArrivalAnswers | None:
    """The arrival answers as the permissions function takes them, with what stands from before.

    None before arrival where nothing stands.
    """
    if answers is None and not signs.flags and not signs.words_unreviewed:
        return None
    answers = answers or SubmittedArrivalAnswers()
    said = {HandsOnToday.YES: True, HandsOnToday.NO: False, HandsOnToday.UNANSWERED: None}
    return ArrivalAnswers(
        hands_on_today=said[answers.hands_on_today],
        pain=answers.pain_now,
        fever=answers.feverish,
        temperature=answers.fever_c,
        swelling=_swollen(answers, signs),
        signs=answers.new_symptoms,
        fatigue=answers.fatigue,
        shoulders=tuple(
            PainFreeHeight(side=one.side, pinches=one.pinches, degrees=one.degrees)
            for one in answers.shoulders or ()
        ),
        companion_present=answers.companion_present,
        interpreter_present=_interpreter_there(answers),
        interpreter_language=answers.interpreter.language if answers.interpreter else "",
        needle_in_port=answers.needle_in_port,
        skin_broken=answers.skin_broken,
        standing=tuple(sorted(signs.flags)),
        cleared=tuple(sorted(signs.cleared)),
        words_unreviewed=signs.words_unreviewed,
    )


def _interpreter_there(answers: SubmittedArrivalAnswers) -> bool | None:
    """An interpreter counts once named, with that they are of age (ruling 56)."""
    if answers.interpreter_present and answers.interpreter is None:
        return None
    return answers.interpreter_present


def _swollen(
    answers: SubmittedArrivalAnswers, signs: StandingSigns
) -> tuple[SwollenLimb, ...] | None:
    said = set(signs.swelling)
    if answers.swelling is not None and RedFlag.NEW_SWELLING not in signs.cleared:
        said |= set(answers.swelling)
    if answers.swelling is None and not said:
        return None
    return tuple(SwollenLimb(limb=one.limb, side=one.side) for one in sorted(said))


def red_flags_in(
    facts: PermissionFacts, answers: SubmittedArrivalAnswers, settings: PermissionSettings
) -> frozenset[RedFlag]:
    """The red flags that answers of the day hold for the client of ``facts``."""
    said = msgspec.structs.replace(
        facts, client=with_said_today(facts.client, answers), arrival=arrival_input(answers)
    )
    return frozenset(red_flags(said, settings))


def stop_input(stop: SessionStop | None) -> inputs.StopFacts | None:
    """A stop as the permissions function takes it: for what came after it."""
    if stop is None:
        return None
    return inputs.StopFacts(minute=stop.minute, everything=stop.everything)
