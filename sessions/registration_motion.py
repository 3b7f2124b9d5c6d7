"""What range of motion, the hour and the stretch programme register."""

from __future__ import annotations

from importlib import import_module

from django.apps import apps
from django.db.models.signals import post_migrate

from practice.domain.decisions import parts
from practice.services.hooks import register_settings
from sessions.domain.hour.settings import HourSettings
from sessions.domain.hour.state import HOUR
from sessions.domain.motion.projecting import girths_row, goal_row, posture_row, reading_row
from sessions.domain.motion.settings import MeasurementSettings
from sessions.domain.motion.state import MOTION
from sessions.domain.programme.due import RECHECKS_DUE
from sessions.domain.programme.projecting import (
    home_exercise_row,
    prescription_row,
    recheck_row,
)
from sessions.domain.programme.reacting import START_WHAT_WAS_DONE
from sessions.domain.programme.settings import DoseSettings, RecheckSettings
from sessions.domain.programme.state import PROGRAMME
from sessions.domain.swelling.settings import SwellingSettings

PROJECTORS = (
    reading_row,
    goal_row,
    posture_row,
    girths_row,
    prescription_row,
    recheck_row,
    home_exercise_row,
)
"""Registered as their modules are imported."""


def register() -> None:
    """Called once at start-up, by ``sessions.registration.register``."""
    from sessions.services.catalogue import load_missing_stretches
    from sessions.services.rechecks import ANSWER_FROM_LATER_READINGS

    import_module("sessions.domain.programme.sentences")  # registers the history's sentences
    parts.add_slices(MOTION, PROGRAMME, HOUR)
    parts.reactors.extend((START_WHAT_WAS_DONE, ANSWER_FROM_LATER_READINGS))
    parts.due_plans.append(RECHECKS_DUE)
    register_settings("measurement", MeasurementSettings)
    register_settings("swelling", SwellingSettings)
    register_settings("rechecks", RecheckSettings)
    register_settings("doses", DoseSettings)
    register_settings("hour", HourSettings)
    post_migrate.connect(
        load_missing_stretches, sender=apps.get_app_config("client_sessions"), weak=False
    )
