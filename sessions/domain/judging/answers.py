"""Arrival answers and stops as the permissions function takes them, and its verdict kept. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import msgspec

from clients.domain.health import HistoryContent
from clients.domain.permissions import inputs
from clients.domain.permissions.arrival import red_flags
from clients.domain.permissions.inputs import Arrival, ClientFacts, Facts
from clients.domain.permissions.judge import judge
from clients.domain.permissions.outputs import Judgement as Verdicts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import StretchSpec
from clients.domain.terms import RedFlag
from practice.domain.reasons import Reason
from sessions.domain.calendar.events import Answers, HandsOnToday, Judgement
from sessions.domain.calendar.state import Stop

OF_TECHNIQUES = "technique."
"""Codes of reasons such as "no one is touched in it", which are no news of this client."""

ALL_WELL = Arrival(
    hands_on_today=True,
    pain=0,
    fever=False,
    swelling=(),
    signs=(),
    companion_present=True,
    interpreter_present=True,
)
"""A session is planned as it may be if nothing stands against it on the day."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """One session ready to be judged: its facts, the catalogue and the settings.

    ``revisions`` are those of the groups of settings used, by name.
    """

    facts: Facts
    stretches: Sequence[StretchSpec]
    settings: PermissionSettings
    revisions: dict[str, int] = field(default_factory=dict)

    def judged(self) -> Verdicts:
        """The verdicts, each with every reason."""
        return judge(self.facts, self.stretches, self.settings)

    def planned(self) -> Verdicts:
        """The verdicts for a day on which the arrival answers bring nothing new."""
        facts = msgspec.structs.replace(self.facts, arrival=ALL_WELL, stop=None)
        return judge(facts, self.stretches, self.settings)

    def kept(self, verdicts: Verdicts, *, provisional: bool | None = None) -> Judgement:
        """A verdict as it is stored with a booking, an arrival or a signature."""
        versions = verdicts.versions
        return Judgement(
            mode=verdicts.mode,
            reasons=of_the_session(verdicts.reasons),
            provisional=verdicts.provisional if provisional is None else provisional,
            rules=versions.rules,
            settings=dict(self.revisions),
            record=versions.record,
            catalogue=versions.catalogue,
            consent_id=versions.consent_id,
            limit_rows=versions.limit_rows,
        )


def of_the_session(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    """Without what is so of a technique whoever does it, where anything else stands against it."""
    told = tuple(one for one in reasons if not one.code.startswith(OF_TECHNIQUES))
    return told or reasons


def arrival_of(answers: Answers | None) -> Arrival | None:
    """The arrival answers as the permissions function takes them; None before arrival."""
    if answers is None:
        return None
    said = {HandsOnToday.YES: True, HandsOnToday.NO: False, HandsOnToday.UNANSWERED: None}
    return Arrival(
        hands_on_today=said[answers.hands_on_today],
        pain=answers.pain_now,
        fever=answers.feverish,
        temperature=answers.fever_c,
        swelling=answers.swelling,
        signs=answers.new_symptoms,
        fatigue=answers.fatigue,
        shoulders=answers.shoulders,
        companion_present=answers.companion_present,
        interpreter_present=answers.interpreter_present,
    )


def red_flags_in(
    facts: Facts, answers: Answers, settings: PermissionSettings
) -> frozenset[RedFlag]:
    """The red flags that answers of the day hold for the client of ``facts``."""
    said = msgspec.structs.replace(
        facts, client=with_usual_pain(facts.client, answers), arrival=arrival_of(answers)
    )
    return frozenset(red_flags(said, settings))


def stop_of(stop: Stop | None) -> inputs.Stop | None:
    """A stop as the permissions function takes it: for what came after it."""
    if stop is None:
        return None
    return inputs.Stop(minute=stop.minute, everything=stop.everything)


def with_usual_pain(client: ClientFacts, answers: Answers | None) -> ClientFacts:
    """The client's facts with the usual pain that she names today, as one more report.

    Reports only ever narrow: a lower usual pain makes today's pain stand out more.
    """
    if answers is None or answers.usual_pain is None:
        return client
    said = HistoryContent(usual_pain=answers.usual_pain, pathology_under_treatment=False)
    return msgspec.structs.replace(client, reported=(*client.reported, said))
