"""One client's whole way through the practice, over HTTP only, as the four kinds of user."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from practice.demo import (
    act_again,
    act_booking,
    act_desk_day,
    act_looking_back,
    act_noting,
    act_paying,
    act_phone,
    act_registering,
    act_reminding,
    act_safety,
    act_treating,
    act_watching,
)
from practice.demo.callers import HttpCaller
from practice.demo.people import LOGINS
from practice.demo.telling import DemoStory, StepFailed

__all__ = ["LOGINS", "play", "run_story"]

ACTS: tuple[Callable[[DemoStory], None], ...] = (
    act_registering.the_practice,
    act_registering.a_client_comes,
    act_booking.a_time_is_booked,
    act_treating.the_session,
    act_noting.the_note,
    act_paying.the_visit,
    act_watching.re_checks,
    act_desk_day.the_desks_day,
    act_looking_back.consent_withdrawn,
    act_phone.the_call,
    act_phone.on_record,
    act_safety.goal_and_incident,
    act_reminding.reminders,
    act_looking_back.the_owner_looks,
)


AGAIN: tuple[Callable[[DemoStory], None], ...] = (
    act_registering.the_practice,
    act_again.what_was_told,
    act_again.the_desk_reads,
    act_again.the_owner_reads,
    act_looking_back.the_checks,
)
"""Played where the story was told before: it reads, so that nobody is registered twice."""


def run_story(story: DemoStory) -> bool:
    """Play every act; False at the first step that does not hold, which is shown."""
    try:
        for act in AGAIN if act_again.told_before(story) else ACTS:
            act(story)
    except StepFailed as failed:
        story.say(f"\nThis step does not hold: {failed}")
        return False
    story.say(f"\n{story.steps} requests, every one as told.")
    return True


def play(address: str, say: Callable[[str], None] = print, messages: Path | None = None) -> bool:
    """The story against a running server, whose mails and texts lie in ``messages`` (else in this
    process's ``VAR``); whether every step held."""
    return run_story(DemoStory(HttpCaller(address), say, messages))
