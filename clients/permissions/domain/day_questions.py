"""Questions on arrival that are asked of some clients only: a port, irradiated skin. Pure."""

from __future__ import annotations

from clients.clinical.domain.conditions import (
    conditions_of_kind,
    has_needle_in,
    is_skin_watched,
    known_radiations,
)
from clients.health.domain.terms import ConditionKind
from clients.permissions.domain.conditions import skin_today
from clients.permissions.domain.inputs import DayQuestion, PermissionFacts
from clients.permissions.domain.settings import PermissionSettings


def open_questions(facts: PermissionFacts, settings: PermissionSettings) -> tuple[DayQuestion, ...]:
    """What is to be asked of this client today and has no answer: whether a needle is in a port;
    how irradiated skin looks, in the course of radiation and for weeks after it."""
    said = facts.arrival.needle_in_port if facts.arrival else None
    ports = conditions_of_kind(facts.client, ConditionKind.IMPLANTED_PORT, facts.day)
    watched = (
        course
        for course in known_radiations(facts.client, facts.day)
        if is_skin_watched(course, facts.day, settings.skin_watch_days)
    )
    asked = {
        DayQuestion.NEEDLE_IN_PORT: any(
            has_needle_in(port, facts.day, said) is None for port in ports
        ),
        DayQuestion.SKIN_BROKEN: any(
            skin_today(facts, course, settings) is None for course in watched
        ),
    }
    return tuple(question for question, is_open in asked.items() if is_open)
