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


@dataclass(frozen=True, slots=True)
class SheetLine:
    """What of a session the headline counts."""

    verdict: DeskVerdict
    status: SessionStatus
    gaps: Sequence[str]
    confirmed: bool

    @property
    def to_come(self) -> bool:
        """Whether there is still something to do for it."""
        return self.status in TIME_HOLDING_STATUSES


def desk_verdict(extent: HandsOnExtent, reasons: Iterable[Reason]) -> DeskVerdict:
    """The word for a session of which so much is by hand, for these reasons."""
    if any(one.code in FETCHES for one in reasons):
        return DeskVerdict.FETCH
    return DeskVerdict(extent.value)


def sheet_headline(lines: Sequence[SheetLine]) -> str:
    """The worst of the day first, then what is missing and who did not say that they come."""
    ahead = [one for one in lines if one.to_come]
    if not ahead:
        return "No session is still to come." if lines else "No sessions."
    verdicts = Counter(one.verdict for one in ahead)
    counted = [f"{HEADLINE_WORDS[one]} {verdicts[one]}" for one in DeskVerdict if verdicts[one]]
    missing = sum(bool(one.gaps) for one in ahead)
    unsaid = sum(one.status is SessionStatus.BOOKED and not one.confirmed for one in ahead)
    said = [f"{', '.join(counted).capitalize()}."]
    said += [f"Something is missing for {missing}."] if missing else []
    said += [f"Not confirmed {unsaid}."] if unsaid else []
    return " ".join(said)
