"""The day's arrival answers, red flags and a stop in mid-session."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.operations import known_histories
from clients.health.domain.content import RangeLimit
from clients.health.domain.sites import sides_meet
from clients.health.domain.terms import RedFlag
from clients.permissions.domain.findings import (
    ARM_RAISES,
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
)
from clients.permissions.domain.inputs import ArrivalAnswers, PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from clients.permissions.domain.swelling import works_limb
from practice.core.reasons import Reason
from practice.core.terms import Mode

SIGNS = {
    RedFlag.FEVER: "Fever",
    RedFlag.HOT_RED_OR_BLOTCHY_LIMB: "A hot, red or blotchy limb",
    RedFlag.CHEST_PAIN: "Chest pain",
    RedFlag.BREATHLESSNESS: "Breathlessness at rest",
    RedFlag.CALF_PAIN_ONE_SIDED: "Calf pain on one side",
    RedFlag.NEW_BONE_PAIN: "New bone pain",
    RedFlag.NEW_NERVE_PAIN: "New nerve pain",
    RedFlag.REST_PAIN: "Pain at rest far above the usual",
    RedFlag.NEW_SWELLING: "New swelling of a limb",
    RedFlag.LEGS_NUMB_OR_WEAK: "Legs newly numb or weak",
    RedFlag.BLADDER_OR_BOWEL_LOST: "Control of bladder or bowel lost",
    RedFlag.SEIZURE: "A seizure",
    RedFlag.WORST_HEADACHE: "The worst headache, come suddenly",
    RedFlag.SPEECH_OR_SIGHT_LOST: "Speech or sight lost",
    RedFlag.BLEEDING: "Bleeding that does not stop",
    RedFlag.FAINTED: "Fainting",
    RedFlag.NEARLY_FAINTED: "Nearly fainted",
    RedFlag.WOUND_OPENED_OR_WEEPING: "A wound that opened or weeps",
    RedFlag.FALL: "A fall since last time",
}
CLIENT_SOURCE = "the client's own word today"
RED_FLAG_SOURCE = f"{PRACTICE_POLICY}: red flags of the day"
WORDS_UNREVIEWED = (
    "The client said something in their own words that nobody who may evaluate has reviewed."
)
# For everyone: the desk typed the answer and must act on it. It does not say which answer.
FETCH_PRACTITIONER = Reason(
    code="arrival.fetch_practitioner",
    text=(
        "An answer of today needs the practitioner before anything is done: fetch them now and "
        "do not send the client home alone; in an emergency call the emergency number first."
    ),
    source=RED_FLAG_SOURCE,
)


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Unanswered is not yes; a red flag ends the session before it begins."""
    arrival = facts.arrival
    if arrival is None:
        yield _own("arrival.not_answered", "The arrival questions are not answered.", pending=True)
        return
    if arrival.hands_on_today is None:
        text = "Whether hands-on is all right today is not answered."
        yield _own("arrival.hands_on_unanswered", text, pending=True)
    elif not arrival.hands_on_today:
        yield _own(
            "arrival.no_hands_on",
            "The client does not want hands-on work today.",
            source=CLIENT_SOURCE,
        )
    if unanswered_questions(arrival):
        text = f"Not answered on arrival: {', '.join(unanswered_questions(arrival))}."
        yield _own("arrival.incomplete", text, pending=True)
    if arrival.words_unreviewed:
        yield _own("arrival.words_unreviewed", WORDS_UNREVIEWED)
    flags = [flag for flag in red_flags(facts, settings) if flag is not RedFlag.NEW_SWELLING]
    if flags:
        yield PermissionFinding(Mode.NOT_TODAY, FETCH_PRACTITIONER)
    for sign in flags:
        text = f"{SIGNS[sign]}: not today. {settings.refer_to.get(sign, 'Refer the client.')}"
        yield PermissionFinding(
            Mode.NOT_TODAY, clinical_reason(f"red_flag.{sign.value}", text, RED_FLAG_SOURCE)
        )


def stop(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    """The client said stop: what comes after is without touch, or nothing at all."""
    if facts.stop is None:
        return
    what = "the session" if facts.stop.everything else "touch"
    text = f"The client stopped {what} at minute {facts.stop.minute}."
    mode = Mode.NOT_TODAY if facts.stop.everything else Mode.SELF_DIRECTED
    yield PermissionFinding(mode, Reason(code="stop", text=text, source=CLIENT_SOURCE))


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Pain, a swollen limb and a shoulder that pinches."""
    arrival = facts.arrival
    if arrival is None:
        return
    if (arrival.pain or 0) >= settings.pain_active_only and target.assisted_only:
        text = f"Pain {arrival.pain} of 10: active isolated only."
        yield PermissionFinding(
            Mode.NOT_TODAY, clinical_reason("arrival.pain", text, PRACTICE_POLICY)
        )
    swollen = () if RedFlag.NEW_SWELLING in arrival.cleared else arrival.swelling or ()
    for limb in swollen:
        if works_limb(limb, target):
            text = "New swelling: that limb not today."
            yield PermissionFinding(
                Mode.NOT_TODAY, clinical_reason("arrival.swelling", text, RED_FLAG_SOURCE)
            )
    yield from _pinching(arrival, target)


def _pinching(arrival: ArrivalAnswers, target: StretchTarget) -> Iterator[PermissionFinding]:
    """Chest, V and triceps come down to the pain-free height; patterns stay below the arc."""
    placed = target.tagged(StretchTag.CHEST, StretchTag.V, StretchTag.TRICEPS)
    pattern = target.tagged(StretchTag.PATTERN, StretchTag.ABDUCTION_PATTERN)
    if not placed and not pattern:
        return
    source = f"{COMMON_PRACTICE}, no source"
    for shoulder in arrival.shoulders:
        if not shoulder.pinches or not sides_meet(shoulder.side, target.side):
            continue
        if shoulder.degrees is None:
            text = "The shoulder pinches and its pain-free height today is not known."
            mode = Mode.NOT_TODAY if placed else Mode.SELF_DIRECTED
            yield PermissionFinding(mode, clinical_reason("shoulder.height_unknown", text, source))
            continue
        limits = tuple(RangeLimit(movement=m, degrees=shoulder.degrees) for m in ARM_RAISES)
        text = f"The shoulder pinches: not above {shoulder.degrees:g} degrees today."
        reason = clinical_reason("shoulder.pinches", text, source)
        yield PermissionFinding(Mode.HANDS_ON, reason, limits=limits)


def red_flags(facts: PermissionFacts, settings: PermissionSettings) -> list[RedFlag]:
    """The red flags of the day, each once: those in the answers that were not cleared since,
    and those that stand from before."""
    arrival = facts.arrival
    if arrival is None:
        return []
    found = set(arrival.signs or ())
    hot = arrival.temperature is not None and arrival.temperature >= settings.fever_celsius
    if arrival.fever or hot:
        found.add(RedFlag.FEVER)
    if arrival.swelling:
        found.add(RedFlag.NEW_SWELLING)
    if arrival.pain is not None:
        usual = [h.usual_pain for h in known_histories(facts.client) if h.usual_pain is not None]
        over = bool(usual) and arrival.pain - min(usual) >= settings.pain_over_usual
        if arrival.pain >= settings.pain_red_flag or over:
            found.add(RedFlag.REST_PAIN)
    return sorted((found - set(arrival.cleared)) | set(arrival.standing))


def unanswered_questions(arrival: ArrivalAnswers) -> list[str]:
    """The questions about health that have no answer."""
    questions = {
        "pain": arrival.pain is None,
        "fever": arrival.fever is None and arrival.temperature is None,
        "swelling": arrival.swelling is None,
        "new symptoms": arrival.signs is None,
    }
    return [name for name, missing in questions.items() if missing]


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """Fatigue warns; it forbids nothing. A swollen limb rests alone, but is looked at first."""
    if red_flags(facts, settings) == [RedFlag.NEW_SWELLING]:
        yield FETCH_PRACTITIONER
    fatigue = facts.arrival.fatigue if facts.arrival else None
    if fatigue is not None and fatigue >= settings.fatigue_warning:
        text = f"Fatigue {fatigue} of 10: keep it short and easy."
        yield clinical_reason("arrival.fatigue", text, PRACTICE_POLICY)


def _own(
    code: str, text: str, *, pending: bool = False, source: str = PRACTICE_POLICY
) -> PermissionFinding:
    reason = Reason(code=code, text=text, source=source)
    return PermissionFinding(Mode.SELF_DIRECTED, reason, pending=pending)
