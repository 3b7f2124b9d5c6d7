"""Questions on papers that are waited for: whose, overdue, expiring, and what waits for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q, QuerySet

from clients.identity.selectors import of_visible_clients
from clients.papers.domain.holding import HeldSession
from clients.papers.domain.settings import PaperSettings
from clients.papers.domain.terms import PaperStatus
from clients.papers.models import Paper
from practice.clock import clock
from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Actor
from practice.core.localtime import local_day
from practice.people_and_places.models.facilities import Facility
from practice.policy.models import PRACTICE_ID, Practice
from practice.policy.selectors import settings_group
from practice.work.request_cache import memoize

HELD_UP = ExtensionPoint[Callable[[Sequence[Paper]], Mapping[UUID, Sequence[HeldSession]]]](
    "booked sessions that wait for papers"
)
"""``held_up(papers)``: by the id of each paper that is waited for; a few queries for them all."""


def paper_list(actor: Actor) -> QuerySet[Paper]:
    """The papers of clients whom the caller sees."""
    return of_visible_clients(actor, Paper.objects.all())


def papers_of(client_id: UUID) -> list[Paper]:
    """The client's papers: those needed first come first."""
    return list(Paper.objects.filter(client_id=client_id).order_by("needed_by", "id"))


def waiting_papers(client_ids: Collection[UUID]) -> list[Paper]:
    """What is waited for of some clients, in one query."""
    rows = Paper.objects.filter(client_id__in=client_ids, status=PaperStatus.WAITING)
    return list(rows.order_by("needed_by", "id"))


def held_up(papers: Sequence[Paper]) -> Mapping[UUID, Sequence[HeldSession]]:
    """What waits for each of these papers; nothing for those that nobody waits for."""
    waiting = [one for one in papers if one.status == PaperStatus.WAITING]
    found: defaultdict[UUID, list[HeldSession]] = defaultdict(list)
    for answer in HELD_UP.answers if waiting else ():
        for paper_id, sessions in answer(waiting).items():
            found[paper_id].extend(sessions)
    return found


def paper_settings() -> PaperSettings:
    """The practice's settings of papers."""
    return settings_group("papers", PaperSettings)[0]


class LocalDays:
    """Which day it is in the zones of the practice's facilities; any other zone counts as the
    practice's own, so that a filter and the rows that it shows agree."""

    def __init__(self, now: datetime | None = None) -> None:
        at = now or clock.now()
        zones = memoize("zones of papers", _zones)
        self.usual = local_day(at, zones[0])
        self._days = {zone: local_day(at, zone) for zone in zones}

    def of(self, zone: str) -> date:
        """The day in a zone."""
        return self._days.get(zone, self.usual)

    def first_and_latest(self) -> tuple[date, date]:
        """The days between which it is in all these zones."""
        days = {self.usual, *self._days.values()}
        return min(days), max(days)

    def matching(self, condition: Callable[[date], Q]) -> Q:
        """Rows of whose own day a condition holds."""
        found = condition(self.usual)
        for day in sorted(set(self._days.values()) - {self.usual}):
            there = [zone for zone, other in self._days.items() if other == day]
            found = (found & ~Q(zone__in=there)) | (condition(day) & Q(zone__in=there))
        return found


def ends_within(today: date, lead: int) -> Q:
    """Rows whose last day is today or one of the next ``lead`` days; as ``is_expiring``."""
    return Q(expires_on__gte=today, expires_on__lte=today + timedelta(days=lead))


def papers_expiring(days: LocalDays) -> Q:
    """Papers whose last day is near, each by the day in its own zone. Where it is not the same
    day everywhere the outer bounds are what an index of last days can go by."""
    lead = paper_settings().expiring_days
    first, latest = days.first_and_latest()
    somewhere = Q(expires_on__gte=first, expires_on__lte=latest + timedelta(days=lead))
    return somewhere & days.matching(lambda today: ends_within(today, lead))


def _zones() -> tuple[str, ...]:
    own = Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
    places = Facility.objects.order_by("zone").values_list("zone", flat=True).distinct()
    return (own, *(zone for zone in places if zone != own))
