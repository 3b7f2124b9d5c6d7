"""Calendar feeds and what they hold."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery

from clients.identity.display_names import with_display_names
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent
from practice.http.roles import CARE
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from practice.policy.selectors import settings_group
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import class_titles
from sessions.calendar.selectors.sessions import session_list
from sessions.feeds.calendar_file import FeedEntry, initials
from sessions.feeds.domain.settings import ClientShown, FeedSettings
from sessions.feeds.models import CalendarFeed

SHOWN = (SessionStatus.BOOKED, SessionStatus.ARRIVED, SessionStatus.COMPLETED)


def digest_of_secret(secret: str) -> str:
    """The key under which a feed stands; a secret is 256 random bits, so a digest is enough."""
    return sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()


def feed_list(actor: Actor) -> QuerySet[CalendarFeed]:
    """One's own feeds, to the owner everybody's; revoked ones too."""
    rows = CalendarFeed.objects.all()
    return rows if actor.role is Role.OWNER else rows.filter(staff_id=actor.id)


def feed_of_secret(secret: str) -> CalendarFeed:
    """The feed behind a link. Raises Rejected 404 for one that is unknown or revoked, and where
    whoever made it has left or may not see sessions any more."""
    found = CalendarFeed.objects.filter(digest=digest_of_secret(secret), is_revoked=False).first()
    feed = existing(found, "calendar feed")
    staff = Staff.objects.filter(pk=feed.staff_id, is_active=True, role__in=CARE).first()
    existing(staff, "calendar feed")
    return feed


def feed_sessions(feed: CalendarFeed) -> list[Session]:
    """The sessions of a feed that hold or held a time, as far as its maker sees them today."""
    settings, now = _settings(), clock.now()
    staff = Staff.objects.get(pk=feed.staff_id)
    maker = Actor(id=staff.pk, role=Role(staff.role), practitioner_id=staff.practitioner_id)
    whose = (
        {"practitioner_id": feed.practitioner_id}
        if feed.practitioner_id
        else {"facility_id": feed.facility_id}
    )
    changed = StoredEvent.objects.filter(stream=OuterRef("client_id"), version=OuterRef("version"))
    rows = session_list(maker).filter(
        **whose,
        status__in=SHOWN,
        starts_at__gte=now - timedelta(days=settings.days_back),
        starts_at__lt=now + timedelta(days=settings.days_ahead),
    )
    found = rows.annotate(changed_at=Subquery(changed.values("recorded_at")[:1]))
    return with_display_names(found.order_by("starts_at", "id"))


def feed_name(feed: CalendarFeed) -> str:
    """Whose sessions it holds, by name."""
    if feed.facility_id is not None:
        return Facility.objects.get(pk=feed.facility_id).name
    whose = Practitioner.objects.filter(pk__in=[feed.practitioner_id])
    return whose.values_list("name", flat=True).get()


def feed_entries(feed: CalendarFeed, sessions: list[Session]) -> list[FeedEntry]:
    """The sessions as the practice lets a feed show them."""
    shown, titles = _settings().client_shown, class_titles(sessions)
    return [
        FeedEntry(
            session_id=one.pk,
            starts_at=one.starts_at,
            ends_at=one.ends_at,
            changed_at=one.changed_at,  # type: ignore[attr-defined]
            sequence=one.version,
            summary=_summary(feed, one, shown, titles.get(one.class_id, "Session")),
            location=", ".join(filter(None, (one.facility_name, one.room_name))),  # type: ignore[attr-defined]
        )
        for one in sessions
    ]


def not_read_today(feed: CalendarFeed, client_ids: set[UUID], what: str) -> set[UUID]:
    """Those of some clients whom this feed has not shown in the last 24 hours: a calendar asks
    many times a day for the same."""
    seen = AccessEntry.objects.filter(
        staff_id=feed.staff_id,
        what=what,
        client_id__in=client_ids,
        occurred_at__gt=clock.now() - timedelta(days=1),
    )
    return client_ids - set(seen.values_list("client_id", flat=True))


def names_clients() -> bool:
    """Whether feeds say anything of the client."""
    return _settings().client_shown is not ClientShown.NOTHING


def _settings() -> FeedSettings:
    return settings_group("feeds", FeedSettings)[0]


def _summary(feed: CalendarFeed, session: Session, shown: ClientShown, what: str) -> str:
    name: str = getattr(session, "client_name", "")
    client = {
        ClientShown.NAME: name,
        ClientShown.INITIALS: initials(name),
        ClientShown.NOTHING: "",
    }[shown]
    who = "" if feed.practitioner_id else getattr(session, "practitioner_name", "")
    return " · ".join(filter(None, (what, client, who)))
