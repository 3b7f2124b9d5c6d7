"""The day sheet in few words: a verdict per session, and the worst of them first. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Reason
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionStatus

FETCHES = ("arrival.fetch_practitioner", "arrival.words_unreviewed")
"""What the client said needs a practitioner before anything is done."""


class DeskVerdict(StrEnum):
    """What the desk does with a session, in one word; the gravest first."""

    FETCH = "fetch"
    NOTHING = "nothing"
    PART = "part"
    ALL = "all"


VERDICT_TEXTS = {
    DeskVerdict.FETCH: "Fetch the practitioner before anything is done.",
    DeskVerdict.NOTHING: "Nothing is hands-on.",
    DeskVerdict.PART: "Part of it is hands-on.",
    DeskVerdict.ALL: "All of it is hands-on.",
}
HEADLINE_WORDS = {
    DeskVerdict.FETCH: "fetch the practitioner",
    DeskVerdict.NOTHING: "nothing hands-on",
    DeskVerdict.PART: "part hands-on",
    DeskVerdict.ALL: "all hands-on",
}

BARRED_WORDS = "cannot be as booked"
_FIRST, *_THEN = HEADLINE_WORDS.values()
IN_ORDER = (_FIRST, BARRED_WORDS, *_THEN)
"""The words of the headline, the gravest first."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """What of a session the headline counts; ``barred``: it cannot be held as it is booked."""

    verdict: DeskVerdict
    status: SessionStatus
    gaps: Sequence[str]
    confirmed: bool
    barred: bool = False

    @property
    def to_come(self) -> bool:
        """Whether there is still something to do for it."""
        return self.status in TIME_HOLDING_STATUSES


def desk_verdict(extent: HandsOnExtent, reasons: Iterable[Reason]) -> DeskVerdict:
    """The word for a session of which so much is by hand, for these reasons."""
    if any(one.code in FETCHES for one in reasons):
        return DeskVerdict.FETCH
    return DeskVerdict(extent.value)


def _word(line: SheetLine) -> str:
    if line.barred and line.verdict is not DeskVerdict.FETCH:
        return BARRED_WORDS
    return HEADLINE_WORDS[line.verdict]


def sheet_headline(lines: Sequence[SheetLine]) -> str:
    """The worst of the day first, then what is missing and who did not say that they come. What
    cannot be held as it is booked is counted as that, not by how much of it would be by hand."""
    ahead = [one for one in lines if one.to_come]
    if not ahead:
        return "No session is still to come." if lines else "No sessions."
    words = Counter(_word(one) for one in ahead)
    counted = [f"{one} {words[one]}" for one in IN_ORDER if words[one]]
    missing = sum(bool(one.gaps) for one in ahead)
    unsaid = sum(one.status is SessionStatus.BOOKED and not one.confirmed for one in ahead)
    said = [f"{', '.join(counted).capitalize()}."]
    said += [f"Something is missing for {missing}."] if missing else []
    said += [f"Not confirmed {unsaid}."] if unsaid else []
    return " ".join(said)
