"""What was measured, as it stands after a command."""

from __future__ import annotations

from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.measurements.domain.follow_up import answered_by
from sessions.measurements.selectors.circumferences import circumferences_evaluated
from sessions.measurements.selectors.readings import ReadingLabeller, labelling_slices
from sessions.measurements.selectors.rows import (
    goals_of,
    posture_findings_of,
    reading_just_recorded,
)
from sessions.measurements.serializers.body import (
    CircumferencesOutputSerializer,
    PostureFindingOutputSerializer,
    serialize_circumferences,
)
from sessions.measurements.serializers.fields import EnteredInErrorOutputSerializer
from sessions.measurements.serializers.readings import (
    GoalOutputSerializer,
    RecordedReadingOutputSerializer,
    serialize_reading,
)


def render_reading(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A new reading with its labels, the re-checks that it answers, and warnings."""
    # The row that was just written and the states that were just folded: nothing is asked again.
    row = reading_just_recorded(outcome)
    states = uow.states(outcome.client_id, labelling_slices())
    shown = {
        "reading": serialize_reading(row, ReadingLabeller.of_states(states).labels(row.pk)),
        "rechecks": answered_by(outcome.events),
        "warnings": shown_reasons(uow.actor.role, outcome.warnings),
    }
    return Representation(RecordedReadingOutputSerializer(shown).data, outcome.version)


def render_correction(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """What is to be seen to once something was entered in error."""
    shown = {"warnings": shown_reasons(uow.actor.role, outcome.warnings)}
    return Representation(EnteredInErrorOutputSerializer(shown).data, outcome.version)


def render_goal(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The goal that was set."""
    row = goals_of(outcome.client_id).get(pk=outcome.entity_id)
    return Representation(GoalOutputSerializer(row).data, outcome.version)


def render_posture_finding(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The finding that was recorded."""
    row = posture_findings_of(outcome.client_id).get(pk=outcome.entity_id)
    return Representation(PostureFindingOutputSerializer(row).data, outcome.version)


def render_circumferences(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The circumferences that were recorded, with what they say."""
    found = next(
        one
        for one in circumferences_evaluated(outcome.client_id)
        if one[0].measured.circumferences_id == outcome.entity_id
    )
    shown = serialize_circumferences(uow.actor.role, *found)
    return Representation(CircumferencesOutputSerializer(shown).data, outcome.version)
