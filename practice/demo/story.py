"""One client's whole way through the practice, over HTTP only, as the four kinds of user."""

from __future__ import annotations

from collections.abc import Callable

from practice.demo import (
    act_booking,
    act_looking_back,
    act_noting,
    act_paying,
    act_registering,
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
    act_looking_back.consent_withdrawn,
    act_looking_back.the_owner_looks,
)


def run_story(story: DemoStory) -> bool:
    """Play every act; False at the first step that does not hold, which is shown."""
    try:
        for act in ACTS:
            act(story)
    except StepFailed as failed:
        story.say(f"\nThis step does not hold: {failed}")
        return False
    story.say(f"\n{story.steps} requests, every one as told.")
    return True


def play(address: str, say: Callable[[str], None] = print) -> bool:
    """The story against a running server; whether every step held."""
    return run_story(DemoStory(HttpCaller(address), say))
