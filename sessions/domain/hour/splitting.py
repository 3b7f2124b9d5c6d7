"""The suggested split of the paid hour, with its reasons. Pure; practice policy throughout.

The parts are multiples of the practice's step and sum exactly to the booked length:
what the step leaves over goes to measuring and talk. More deficit never gives fewer
minutes of stretching.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor

import msgspec

from practice.domain.reasons import Audience, Reason, invalid
from practice.domain.terms import Credential, Mode, Part
from sessions.domain.hour.gates import BodyFacts, LimbFacts, LimbGate, gate
from sessions.domain.hour.settings import HourSettings

SHORTEST = 10
LONGEST = 480
EPSILON = 1e-9
WORK = (Part.STRETCHING, Part.CARDIO, Part.STRENGTH)


class HourFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What the split is made from.

    ``booked_minutes`` the length of the session. ``deficits``: of each affected movement
    the missing share of its goal, 0 to 1. ``posture_findings``: moderate or severe ones.
    ``stretching_allowed``: what the law lets this credential do, also self-directed.
    ``paid``: parts that the payer pays for; None where there is no payer.
    ``last_sessions``: minutes by part of the last ones, newest first. ``most``: the widest
    that anything in the session may be, as judged; NOT_TODAY offers no work at all.
    """

    booked_minutes: int
    credential: Credential
    evaluation: bool = False
    deficits: tuple[float, ...] = ()
    posture_findings: int = 0
    body: BodyFacts = BodyFacts()
    limbs: tuple[LimbFacts, ...] = ()
    tolerates_little: bool = False
    at_risk_of_swelling: bool = False
    stretching_allowed: bool = True
    paid: tuple[Part, ...] | None = None
    last_sessions: tuple[dict[Part, int], ...] = ()
    most: Mode = Mode.HANDS_ON


class PartSplit(msgspec.Struct, frozen=True, kw_only=True):
    """One part: whole minutes, whether the payer pays (None: nobody else pays), what it is."""

    part: Part
    minutes: int
    payable: bool | None
    note: str = ""


class Split(msgspec.Struct, frozen=True, kw_only=True):
    """The parts, summing to the booked length, every reason, and the gates of the limbs."""

    booked_minutes: int
    parts: tuple[PartSplit, ...]
    reasons: tuple[Reason, ...]
    gates: tuple[LimbGate, ...]


def _because(code: str, text: str, setting: str, *, clinical: bool = True) -> Reason:
    return Reason(
        code=code,
        text=text,
        source=f"practice setting hour.{setting}; practice policy",
        audience=Audience.CLINICAL if clinical else Audience.EVERYONE,
    )


SELF_DIRECTED = Reason(
    code="split.self_directed",
    text="All stretching is self-directed: she does it herself, the practitioner instructs.",
    source="the judgement of the session",
)


def mean_deficit(deficits: Sequence[float]) -> float:
    """The mean missing share of the goals, 0 where nothing was measured."""
    return sum(deficits) / len(deficits) if deficits else 0.0


def _floor(body: BodyFacts, settings: HourSettings) -> tuple[float, Reason]:
    weeks = body.weeks_since_operation
    for one in sorted(settings.floors, key=lambda f: f.before_week):
        if body.operated and (weeks is None or weeks < one.before_week):
            when = f"week {weeks}" if weeks is not None else "no date of operation on record"
            text = f"{when}: at least {one.share:.0%} stretching before week {one.before_week}."
            return one.share, _because("early_after_surgery", text, "floors")
    text = f"At least {settings.floor_later:.0%} stretching."
    return settings.floor_later, _because("least_stretching", text, "floor_later")


def stretching_share(facts: HourFacts, settings: HourSettings) -> tuple[float, list[Reason]]:
    """The share of the time left that stretching takes, before scope, with its reasons."""
    deficit = mean_deficit(facts.deficits)
    posture = min(settings.posture_share * facts.posture_findings, settings.posture_share_most)
    wanted = settings.base_share + settings.deficit_share * deficit + posture
    least, why = _floor(facts.body, settings)
    reasons = [why]
    if facts.deficits:
        text = f"Range is {deficit:.0%} short of its goals on average."
        reasons.append(_because("deficit", text, "deficit_share"))
    else:
        text = "No affected movement has been measured: measure first."
        reasons.append(_because("not_measured", text, "deficit_share"))
    if facts.posture_findings:
        text = f"{facts.posture_findings} moderate or severe posture findings."
        reasons.append(_because("posture", text, "posture_share"))
    return min(max(wanted, least), settings.greatest_share), reasons


def _measuring(facts: HourFacts, settings: HourSettings) -> int:
    wanted = settings.evaluation_minutes if facts.evaluation else settings.measuring_minutes
    return min(wanted, facts.booked_minutes)


NO_WORK = {**dict.fromkeys(WORK, ""), Part.MEASURING_AND_TALK: "measure, talk, refer"}
Closed = dict[Part, list[Reason]]


def _closed(facts: HourFacts, gates: Sequence[LimbGate], settings: HourSettings) -> Closed:
    """The parts that cannot be delivered, each with every reason why."""
    scope = settings.delivers.get(facts.credential, ())
    who = facts.credential.value.replace("_", " ")
    closed: Closed = {}
    if facts.most is Mode.NOT_TODAY:
        text = "Not today: no stretching, cardio or strength. Measure, talk and refer."
        why = Reason(
            code="split.not_today", text=text, source="practice policy: refer, no work today"
        )
        return {part: [why] for part in WORK}
    for part in WORK:
        if part not in scope:
            text = f"{part.value} is outside what a {who} delivers here."
            closed[part] = [_because("outside_scope", text, "delivers", clinical=False)]
    if not facts.stretching_allowed:
        text = f"The law here does not let a {who} stretch clients."
        reason = Reason(code="not_lawful", text=text, source="table of jurisdiction limits")
        closed.setdefault(Part.STRETCHING, []).append(reason)
    if not any(one.open for one in gates):
        text = "No limb is past its gate for load."
        reason = _because("no_gate_open", text, "load_weeks")
        closed.setdefault(Part.STRENGTH, []).append(reason)
    return closed


def _steps(left: int, share: float, closed: Closed, step: int) -> dict[Part, int]:
    """Whole steps of each part; all of them are given out where any part can take them."""
    total = left // step
    possible = set(Part) - closed.keys()
    stretching = floor(total * share + EPSILON) if Part.STRETCHING in possible else 0
    rest = total - stretching
    others = [part for part in (Part.CARDIO, Part.STRENGTH) if part in possible]
    if not others:
        given = total if Part.STRETCHING in possible else 0
        return {Part.STRETCHING: given, Part.CARDIO: 0, Part.STRENGTH: 0}
    if len(others) == 1:
        other = {others[0]: rest}
    else:
        other = {Part.CARDIO: rest - rest // 2, Part.STRENGTH: rest // 2}
    return {
        Part.STRETCHING: stretching,
        Part.CARDIO: other.get(Part.CARDIO, 0),
        Part.STRENGTH: other.get(Part.STRENGTH, 0),
    }


def _notes(facts: HourFacts, settings: HourSettings) -> dict[Part, str]:
    weeks = facts.body.weeks_since_operation
    early = facts.body.operated and (weeks is None or weeks < settings.easy_cardio_weeks)
    easy = early or facts.tolerates_little
    stretching = "preparation, neck, then arms" if facts.at_risk_of_swelling else ""
    return {
        Part.STRETCHING: stretching,
        Part.CARDIO: "easy walking" if easy else "moderate",
        Part.STRENGTH: "only limbs past their gate",
        Part.MEASURING_AND_TALK: "",
    }


def _history(facts: HourFacts) -> list[Reason]:
    reasons: list[Reason] = []
    if facts.tolerates_little:
        text = "She tolerated little lately: easy, with rests."
        reasons.append(_because("tolerates_little", text, "easy_cardio_weeks"))
    if facts.last_sessions:
        count = len(facts.last_sessions)
        means = ", ".join(
            f"{part.value.replace('_', ' ')} "
            f"{sum(one.get(part, 0) for one in facts.last_sessions) / count:.0f}"
            for part in Part
        )
        text = f"The last {count} sessions on average, in minutes: {means}."
        reasons.append(Reason(code="last_sessions", text=text, source="signed notes"))
    return reasons


def suggest_split(facts: HourFacts, settings: HourSettings) -> Split:
    """The split suggested for one session. Raises Rejected 400 for an impossible length."""
    if not SHORTEST <= facts.booked_minutes <= LONGEST:
        raise invalid("booked_minutes", f"A session is {SHORTEST} to {LONGEST} minutes long.")
    gates = tuple(gate(limb, facts.body, settings) for limb in facts.limbs)
    closed = _closed(facts, gates, settings)
    share, reasons = stretching_share(facts, settings)
    if facts.most is Mode.NOT_TODAY:
        reasons = []
    elif facts.most is Mode.SELF_DIRECTED and Part.STRETCHING not in closed:
        reasons.append(SELF_DIRECTED)
    left = facts.booked_minutes - _measuring(facts, settings)
    steps = _steps(left, share, closed, settings.step_minutes)
    minutes = {part: count * settings.step_minutes for part, count in steps.items()}
    minutes[Part.MEASURING_AND_TALK] = facts.booked_minutes - sum(minutes.values())
    payable, payer_reasons = _payable(minutes, facts)
    notes = _notes(facts, settings) if facts.most is not Mode.NOT_TODAY else NO_WORK
    return Split(
        booked_minutes=facts.booked_minutes,
        parts=tuple(
            PartSplit(part=p, minutes=minutes[p], payable=payable[p], note=notes[p]) for p in Part
        ),
        reasons=(*reasons, *_flat(closed), *payer_reasons, *_history(facts)),
        gates=gates,
    )


def _flat(closed: Closed) -> list[Reason]:
    """Every reason once, though it may close several parts."""
    return list(dict.fromkeys(reason for reasons in closed.values() for reason in reasons))


def _payable(
    minutes: Mapping[Part, int], facts: HourFacts
) -> tuple[dict[Part, bool | None], list[Reason]]:
    if facts.paid is None:
        return dict.fromkeys(Part, None), []
    unpaid = [part for part in Part if part not in facts.paid and minutes[part]]
    reasons = [
        Reason(
            code="not_payable",
            text=f"The payer does not pay for {part.value.replace('_', ' ')}.",
            source="payer",
        )
        for part in unpaid
    ]
    return {part: part in facts.paid for part in Part}, reasons


def check_own_split(
    minutes: Mapping[Part, int], facts: HourFacts, settings: HourSettings, reason: str
) -> list[Reason]:
    """The gates and the scope that a practitioner's own split crosses.

    Raises Rejected 400 where it does not sum to the booked length, or where it crosses
    a gate and no reason is given.
    """
    if any(value < 0 for value in minutes.values()):
        raise invalid("minutes", "Minutes are whole numbers from 0 on.")
    total = sum(minutes.values())
    if total != facts.booked_minutes:
        raise invalid(
            "minutes", f"The parts sum to {total}; the session is {facts.booked_minutes} minutes."
        )
    suggested = suggest_split(facts, settings)
    closed = _closed(facts, suggested.gates, settings)
    crossed = _flat({part: why for part, why in closed.items() if minutes.get(part)})
    if crossed and not reason.strip():
        raise invalid("reason", f"Say why: {' '.join(r.text for r in crossed)}")
    return crossed
