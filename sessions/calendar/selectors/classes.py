"""Questions to the classes: which hold a time, who has places, what is left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from functools import reduce
from operator import or_
from typing import Any, Final
from uuid import UUID

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.calendar.domain.class_places import PLACE_TAKING_STATUSES, ClassPlaces
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.times_held import TIME_COLUMNS, TimeHeld

LONGEST: Final = timedelta(hours=24)
"""No session and no class lasts longer, so that none that began before can reach a time."""


def class_list(actor: Actor) -> QuerySet[ExerciseClass]:
    """The classes at facilities that the caller may see, with how many places are ``taken`` and
    who entered one late (``entered_late_by_name``)."""
    entered_by = Staff.objects.filter(pk=OuterRef("entered_late_by")).values("name")
    rows = with_taken(ExerciseClass.objects.annotate(entered_late_by_name=Subquery(entered_by)))
    return at_visible_facilities(actor, rows)


def class_get(actor: Actor, class_id: UUID) -> ExerciseClass:
    """One of them; Rejected 404 for any other."""
    return existing(class_list(actor).filter(pk=class_id).first(), "class")


def class_row(class_id: UUID) -> ExerciseClass:
    """A class as it stands, whoever asks, with how many places are ``taken``."""
    return with_taken(ExerciseClass.objects.all()).get(pk=class_id)


def with_taken(rows: QuerySet[ExerciseClass]) -> QuerySet[ExerciseClass]:
    """The rows with how many of their places are ``taken``."""
    places = (
        Session.objects.filter(class_id=OuterRef("pk"), status__in=PLACE_TAKING_STATUSES)
        .order_by()
        .values("class_id")
        .annotate(number=Count("pk"))
        .values("number")
    )
    return rows.annotate(taken=Coalesce(Subquery(places), 0))


def places_of_class(class_id: UUID | None, session_id: UUID) -> ClassPlaces | None:
    """The places of a class as one session sees them that has, or wants, one of them; None
    without a class."""
    if class_id is None:
        return None
    row = ExerciseClass.objects.get(pk=class_id)
    others = Session.objects.filter(class_id=class_id, status__in=PLACE_TAKING_STATUSES)
    return ClassPlaces(
        capacity=row.capacity,
        taken=others.exclude(pk=session_id).count(),
        is_cancelled=row.is_cancelled,
    )


def sessions_of_class(class_id: UUID) -> QuerySet[Session]:
    """The places that are taken in a class, in order of booking."""
    rows = Session.objects.filter(class_id=class_id, status__in=PLACE_TAKING_STATUSES)
    return rows.order_by("id")


def classes_holding(begin: datetime, end: datetime) -> QuerySet[ExerciseClass]:
    """The classes that hold any moment between two instants."""
    return ExerciseClass.objects.filter(_held(begin, end))


def times_of_classes(asked: Sequence[tuple[datetime, datetime]], of_them: Q) -> Iterator[TimeHeld]:
    """Those of the classes within some times that match; a class has no buffers and no client."""
    within = reduce(or_, (_held(*span) for span in asked), Q(pk__in=()))
    rows = ExerciseClass.objects.filter(within, of_them)
    for row in rows.values_list(*TIME_COLUMNS):
        yield TimeHeld(*row)


def class_titles(rows: Iterable[Any]) -> dict[UUID | None, str]:
    """The titles of the classes in which some sessions are places, by the class's id; no query
    where none is."""
    ids = {row.class_id for row in rows} - {None}
    if not ids:
        return {}
    found = ExerciseClass.objects.filter(pk__in=ids).values_list("pk", "title")
    return {class_id: title for class_id, title in found}  # noqa: C416  a key may be asked as None


def _held(begin: datetime, end: datetime) -> Q:
    # Without the first bound an index on the start would be read from its beginning.
    return Q(
        starts_at__gt=begin - LONGEST,
        starts_at__lt=end,
        ends_at__gt=begin,
        is_cancelled=False,
    )
