"""Arrival answers that say something of the body itself, as facts for that day. Pure."""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import BodySite, Condition, HistoryContent, Radiation
from clients.health.domain.terms import ConditionKind
from practice.core.terms import Region, Side
from sessions.calendar.domain.terms import SubmittedArrivalAnswers

SAID_TODAY = UUID(int=0)
"""The id of what an arrival answer says and no history records."""
EVERYWHERE = tuple(BodySite(region=region, side=Side.BOTH) for region in Region)


def with_said_today(client: ClientFacts, answers: SubmittedArrivalAnswers | None) -> ClientFacts:
    """The client's facts with what was answered on arrival: it narrows as a report does.

    Chemotherapy counts in the reviewed history, beside its blood counts. A needle in a port,
    or broken irradiated skin, of which no history knows may be anywhere.
    """
    if answers is None:
        return client
    if answers.usual_pain is not None:
        client = _reported(client, HistoryContent(usual_pain=answers.usual_pain))
    if answers.chemotherapy:
        client = _in_chemotherapy(client)
    histories = list(known_histories(client))
    ports = [c for h in histories for c in h.conditions if c.kind is ConditionKind.IMPLANTED_PORT]
    if answers.needle_in_port and not ports:
        port = Condition(id=SAID_TODAY, kind=ConditionKind.IMPLANTED_PORT)
        client = _reported(client, HistoryContent(conditions=(port,)))
    if answers.skin_broken and not any(history.radiations for history in histories):
        course = Radiation(id=SAID_TODAY, sites=EVERYWHERE, skin_broken=True)
        client = _reported(client, HistoryContent(radiations=(course,)))
    return client


def _in_chemotherapy(client: ClientFacts) -> ClientFacts:
    """Its pathology is under treatment then, whatever was recorded before."""
    said = Condition(id=SAID_TODAY, kind=ConditionKind.CHEMOTHERAPY)
    replace = msgspec.structs.replace
    if client.reviewed is None:
        content = HistoryContent(conditions=(said,), pathology_under_treatment=True)
        return replace(client, reported=(*client.reported, content))
    reviewed = replace(
        client.reviewed,
        conditions=(*client.reviewed.conditions, said),
        pathology_under_treatment=True,
    )
    return replace(client, reviewed=reviewed)


def _reported(client: ClientFacts, content: HistoryContent) -> ClientFacts:
    """One more report; it says nothing of a pathology under treatment."""
    content = msgspec.structs.replace(content, pathology_under_treatment=False)
    return msgspec.structs.replace(client, reported=(*client.reported, content))
