"""Stretches, home exercises and re-checks as shown, and as they stand after a command."""

from __future__ import annotations

from typing import Any

from clients.identity.display_names import with_display_names
from practice.clock import clock
from practice.core.terms import Role
from practice.http.representations import Representation
from practice.http.roles import CLINICAL
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.stretches.domain.prescription_state import OPEN_STATUSES
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.prescriptions import (
    goal_progress_of,
    home_exercise_get,
    prescription_get,
)
from sessions.stretches.selectors.rechecks import recheck_row, with_mail_status, with_next_session
from sessions.stretches.serializers.home_exercises import (
    HomeExerciseOutputSerializer,
    serialize_assigned_home_exercise,
)
from sessions.stretches.serializers.prescriptions import serialize_prescription
from sessions.stretches.serializers.rechecks import (
    ClinicalRecheckOutputSerializer,
    RecheckOutputSerializer,
)


def render_prescription(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A stretch with where it stands against its goals, and the command's warnings."""
    row = prescription_get(outcome.entity_id)
    progress = goal_progress_of(row.client_id).get(row.pk)
    shown = serialize_prescription(uow.actor.role, row, progress, outcome.warnings)
    return Representation(shown, outcome.version)


def render_assigned_home_exercise(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A home exercise that was just assigned, with what was unusual about its dose."""
    row = home_exercise_get(outcome.client_id, outcome.entity_id)
    shown = serialize_assigned_home_exercise(uow.actor.role, row, outcome.warnings)
    return Representation(shown, outcome.version)


def render_home_exercise(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The home exercise that a command changed, with the version of the record."""
    row = home_exercise_get(outcome.client_id, outcome.entity_id)
    return Representation(HomeExerciseOutputSerializer(row).data, outcome.version)


def render_recheck(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A re-check as the caller's role may read it."""
    row = recheck_row(outcome.entity_id)
    return Representation(serialize_recheck(uow.actor.role, row), outcome.version)


def serialize_recheck(role: Role, row: Recheck) -> Any:
    """A re-check as one role may read it: the desk sees no degrees."""
    if not hasattr(row, "client_name"):
        with_display_names(with_mail_status(with_next_session([row], clock.now())))
    form = ClinicalRecheckOutputSerializer if role in CLINICAL else RecheckOutputSerializer
    names = form().fields.keys() - {"overdue"}
    overdue = row.status in OPEN_STATUSES and row.due_on < row.today  # type: ignore[attr-defined]
    return form({**{name: getattr(row, name) for name in names}, "overdue": overdue}).data
