"""Lists of notes: not signed yet, words that wait for their author, own notes by a text."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import product
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, TextField
from django.db.models.functions import Cast

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.reasons import invalid
from practice.core.terms import Role
from practice.people_and_places.selectors.practitioners import practitioner_name
from practice.policy.selectors import settings_group
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_list
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.models import Note, NoteDraft
from sessions.notes.selectors.notes import notes_visible, of_caller
from sessions.notes.selectors.upcoming import unsigned_sessions

HOUR = timedelta(hours=1)
SEARCHED = ("subjective", "objective", "assessment", "plan", "split_reason")
SEARCHED_JSON = ("lines", "cardio", "strength", "outside", "addenda")
LONGEST_SEARCH = timedelta(days=1096)
USUAL_SEARCH = timedelta(days=365)


def overdue_before(now: datetime) -> datetime:
    """Sessions that ended by then have had time enough for their note."""
    return now - settings_group("notes", NoteSettings)[0].unsigned_after_hours * HOUR


def unsigned(actor: Actor, now: datetime) -> QuerySet[Session]:
    """Sessions that are over, to which the client came and whose note is not signed: all for the
    owner, to a practitioner their own."""
    rows = unsigned_sessions(session_list(actor)).filter(ends_at__lte=now)
    if actor.role is Role.OWNER:
        return rows
    return of_caller(actor, rows)


def with_drafts(rows: Sequence[Session], now: datetime) -> list[Session]:
    """The rows with names, their age in whole hours and what is drafted, as attributes."""
    found: list[Any] = with_display_names(rows)
    limit = overdue_before(now)
    drafts = {
        (one.session_id, one.practitioner_id): one
        for one in NoteDraft.objects.filter(session_id__in=[row.pk for row in rows]).defer(
            "sealed", "unsent"
        )
    }
    for row in found:
        draft = drafts.get((row.pk, row.practitioner_id))
        row.session_id = row.pk
        row.age_hours = (now - row.ends_at) // HOUR
        row.overdue = row.ends_at <= limit
        row.draft_revision = draft.revision if draft else None
        row.draft_saved_at = draft.updated_at if draft else None
    return found


def with_ages(rows: Sequence[Note], now: datetime) -> Sequence[Note]:
    """Signed notes with their age in whole hours, as ``age_hours``."""
    for row in rows:
        setattr(row, "age_hours", (now - row.signed_at) // HOUR)  # noqa: B010  beside the columns
    return rows


def waiting_words(actor: Actor) -> QuerySet[NoteDraft]:
    """Drafts that no signature will take: what came in after one, what was left with its author
    when the session was moved, what was written of a session that has no note any more."""
    sessions = session_list(actor).filter(pk=OuterRef("session_id"))
    open_here = sessions.filter(
        practitioner_id=OuterRef("practitioner_id"),
        status__in=(SessionStatus.BOOKED.value, SessionStatus.ARRIVED.value),
    )
    rows = NoteDraft.objects.filter(Exists(sessions)).filter(
        (Q(closed=True) & ~Q(unsent=b"")) | (Q(closed=False) & ~Exists(open_here))
    )
    if actor.role is Role.OWNER:
        return rows
    return of_caller(actor, rows)


def named_waiting(rows: Sequence[NoteDraft]) -> list[NoteDraft]:
    """The rows with names and what became of their session, as attributes."""
    found: list[Any] = with_display_names(rows)
    sessions = Session.objects.in_bulk([row.session_id for row in rows])
    for row in found:
        session = sessions[row.session_id]
        row.local_date, row.session_status = session.local_date, session.status
        row.left_to = ""
        if session.practitioner_id != row.practitioner_id:
            row.left_to = practitioner_name(session.practitioner_id)
    return found


def own_notes_with(actor: Actor, asked: Mapping[str, Any], today: date) -> QuerySet[Note]:
    """The caller's own signed notes that stand, within some days, in which a text occurs.

    ``asked``: ``text``, ``from``, ``to``, ``client_id``. The words of a note and of its addenda
    are compared row by row: no index of words is kept, so that there is no second copy to
    erase. So the days are bounded: a year if none are named, three at most (400).
    """
    last = asked.get("to") or today
    first = asked.get("from") or last - USUAL_SEARCH
    if not timedelta() <= last - first <= LONGEST_SEARCH:
        raise invalid("from", f"From one day to a later one, at most {LONGEST_SEARCH.days} days.")
    within = notes_visible(actor).filter(local_date__gte=first, local_date__lte=last)
    rows = of_caller(actor, within)
    if (client_id := asked.get("client_id")) is not None:
        rows = rows.filter(client_id=client_id)
    text = asked["text"]
    occurs = Q()
    for column in SEARCHED:
        occurs |= Q(**{f"{column}__icontains": text})
    # As the engines write JSON: letters beyond ASCII plain or escaped.
    for column, written in product(SEARCHED_JSON, {text, json.dumps(text)[1:-1]}):
        occurs |= Q(**{f"{column}_text__icontains": written})
    texts = {f"{one}_text": Cast(F(one), TextField()) for one in SEARCHED_JSON}
    return rows.annotate(**texts).filter(occurs)


def other_words(note: Note) -> list[str]:
    """The words of a note beside its four texts: of its lines, and of its addenda with what came
    in after the signature."""
    words = [note.split_reason, *_words_of_lines(vars(note))]
    words += [one.get("explanation", "") for one in note.outside]
    for addendum in note.addenda:
        late = addendum.get("late") or {}
        words += [addendum["text"], *late.get("texts", {}).values(), *_words_of_lines(late)]
    return [one for one in words if one]


def _words_of_lines(held: Mapping[str, Any]) -> list[str]:
    lines = [one for kind in ("lines", "cardio", "strength") for one in held.get(kind) or ()]
    return [one.get(name, "") for one in lines for name in ("exercise", "response")]
