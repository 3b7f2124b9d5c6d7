"""Narrowed sessions are planned anew in one act."""

from __future__ import annotations

from practice.http.commands import Command, CommandView
from practice.http.roles import CARE
from sessions.replanning.rendering import render_replanned
from sessions.replanning.serializers import ReplanInputSerializer, ReplanOutputSerializer
from sessions.replanning.services import MOST_AT_ONCE, sessions_replan


class SessionReplanListView(CommandView):
    """Several sessions are planned anew."""

    post = Command(
        "Plan narrowed sessions anew",
        tag="sessions",
        roles=CARE,
        input=ReplanInputSerializer,
        output=ReplanOutputSerializer,
        errors=(404,),
        execute=sessions_replan,
        render=render_replanned,
        description="Once a slip is put right (a licence, a birth date, a preference, a row of"
        " law), the sessions that it narrowed stay narrowed until a person plans them anew: here"
        " all of a client, a practitioner or a facility, at most"
        f" {MOST_AT_ONCE} in one request, `left` says how many more. Each goes back to what it"
        " was planned as at first, as far as it may now; what may be no wider stays untouched and"
        " says why. A lifted flag leaves the call list. What the day's answers narrow is cleared,"
        " never planned away. With `preview` nothing is changed. The same again changes nothing.",
    )
