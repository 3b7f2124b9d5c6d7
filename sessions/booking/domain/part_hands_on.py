"""A booking of which only a part can be by hand is made, and says so. Pure."""

from __future__ import annotations

from clients.permissions.domain.results import HandsOnExtent, SessionPermissions
from practice.core.reasons import Audience, Reason


def part_warnings(permissions: SessionPermissions) -> list[Reason]:
    """A warning where part of the client's programme is not by hand; the desk reads no more
    than that, since which stretches would tell of the client's health."""
    if permissions.planned_extent is not HandsOnExtent.PART:
        return []
    closed = sorted(
        {
            f"{one.stretch} ({one.technique.value.replace('_', ' ')}, {one.side.value})"
            for one in permissions.closed()
        }
    )
    text = "Only part of it is hands-on."
    source = "practice policy"
    found = [Reason(code="part_hands_on", text=text, source=source)]
    if permissions.programme:
        named = f"Not hands-on of the client's programme: {', '.join(closed)}."
        found.append(
            Reason(
                code="part_hands_on.stretches",
                text=named,
                source=source,
                audience=Audience.CLINICAL,
            )
        )
    return found
