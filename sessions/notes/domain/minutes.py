"""The minutes of a note: what cannot be, what the clock bounds, how a correction merges. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from practice.core.reasons import Rejected
from practice.core.terms import SessionPart
from sessions.notes.domain.content import NoteContent
from sessions.notes.domain.events import NoteCount, NotePartMinutes, SessionTimes
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.times import end_text, start_text
from sessions.notes.domain.work import minutes_of_spans, wrong_spans

ADD_UP = "attended_minutes"


def note_count(content: NoteContent, times: SessionTimes) -> NoteCount:
    """What of a draft is counted; parts without minutes are left out."""
    return NoteCount(
        minutes=tuple(one for one in content.minutes if one.minutes),
        not_counted_minutes=content.not_counted_minutes,
        times=times,
    )


def wrong_parts(minutes: Iterable[NotePartMinutes], settings: NoteSettings) -> dict[str, str]:
    """Parts whose minutes cannot be, by field."""
    given, most = list(minutes), settings.longest_attended_minutes
    wrong = {
        f"minutes.{one.part.value}": f"Whole minutes from 0 to {most}."
        for one in given
        if not 0 <= one.minutes <= most
    }
    if len({one.part for one in given}) < len(given):
        wrong["minutes"] = "Each part once."
    return wrong


def wrong_count(count: NoteCount, zone: str, settings: NoteSettings) -> dict[str, str]:
    """What cannot be about counted minutes, by field: none at all, or more than the clock holds."""
    wrong = wrong_parts(count.minutes, settings)
    most, total = settings.longest_attended_minutes, count.attended_minutes
    if not 0 <= count.not_counted_minutes <= most:
        wrong["not_counted_minutes"] = "Whole minutes from 0 up."
    if wrong:
        return wrong
    if not any(one.minutes for one in count.minutes) and not count.not_counted_minutes:
        wrong["minutes"] = "Give the minutes of each part that was done."
    elif total > most:
        wrong["minutes"] = f"At most {most} minutes in all."
    elif total > count.times.minutes:
        wrong["minutes"] = (
            f"{total} minutes are more than the {max(count.times.minutes, 0)} between"
            f" {start_text(count.times, zone)} and {end_text(count.times, zone)}. Correct the"
            " minutes, or set the start or the end."
        )
    return wrong


def wrong_minutes(
    content: NoteContent, times: SessionTimes, zone: str, settings: NoteSettings
) -> dict[str, str]:
    """What cannot be about a draft's minutes, by field."""
    wrong = {**wrong_parts(content.minutes, settings), **wrong_spans(content.spans)}
    wrong = wrong or _disagreeing(content)
    if wrong:
        return wrong
    count = note_count(content, times)
    wrong = wrong_count(count, zone, settings)
    total = count.attended_minutes
    if "not_counted_minutes" not in wrong and content.attended_minutes not in (None, total):
        wrong[ADD_UP] = (
            f"The parts and what is not counted make {total} minutes,"
            f" not {content.attended_minutes}."
        )
    return wrong


def _disagreeing(content: NoteContent) -> dict[str, str]:
    """Minutes of a part that are not those between its start and stop, or fewer than its lines
    say, by field."""
    entered = {one.part: one.minutes for one in content.minutes}
    wrong = {
        f"minutes.{part.value}": f"{entered[part]} minutes are entered, {minutes} lie between start"
        " and stop: correct one of them."
        for part, minutes in minutes_of_spans(content.spans).items()
        if entered[part] != minutes
    }
    said, cardio = sum(one.minutes for one in content.cardio), entered.get(SessionPart.CARDIO, 0)
    if said > cardio and "minutes.cardio" not in wrong:
        wrong["minutes.cardio"] = (
            f"Its lines make {said} minutes, more than the {cardio} of cardio."
        )
    return wrong


def check_booked(count: NoteCount, booked_minutes: int, *, confirmed: bool) -> None:
    """Rejected 409 where more was attended than booked and nobody confirmed it."""
    if count.attended_minutes > booked_minutes and not confirmed:
        raise Rejected(
            "confirmation_needed",
            f"{count.attended_minutes} minutes are more than the {booked_minutes} that were"
            " booked. If they are right, send it again with confirm_more_than_booked true.",
            extra={
                "attended_minutes": count.attended_minutes,
                "booked_minutes": booked_minutes,
                "confirm": "confirm_more_than_booked",
            },
        )


def merged_minutes(
    before: Iterable[NotePartMinutes], corrections: Iterable[NotePartMinutes]
) -> tuple[NotePartMinutes, ...]:
    """The minutes with some parts corrected; a part that is not named stays, 0 takes it out."""
    standing = {one.part: one.minutes for one in before}
    standing.update({one.part: one.minutes for one in corrections})
    return tuple(
        NotePartMinutes(part=part, minutes=standing[part])
        for part in SessionPart
        if standing.get(part)
    )
