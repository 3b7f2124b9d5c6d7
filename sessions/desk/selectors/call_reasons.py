"""Consents that end soon, of clients who are booked: ask before they run out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from clients.calls.hooks import CallSource
from clients.consent.domain.terms import ConsentStatus
from clients.consent.models import Consent
from clients.consent.selectors import ages_for, signing_of
from clients.permissions.domain.settings import PermissionSettings
from practice.core.localtime import local_day
from practice.policy.selectors import settings_group
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.desk.domain.consent_sentence import consent_ending_sentence


def _ending(now: datetime) -> QuerySet[Consent]:
    """Those that count today on the practice's clock and end within the days of warning, where
    the client has a session booked."""
    settings, _ = settings_group("permissions", PermissionSettings)
    today = local_day(now, zone_of(None))
    ahead = Session.objects.filter(
        client_id=OuterRef("client_id"), status="booked", starts_at__gt=now
    )
    return Consent.objects.filter(
        Exists(ahead),
        status=ConsentStatus.GRANTED,
        consent_id__isnull=False,
        until__gte=today,
        until__lte=today + timedelta(days=settings.consent_warning_days),
    )


def _told(rows: Sequence[Consent], now: datetime) -> list[str]:
    """That it ends and who is asked for the next; or that it does not stand, and why."""
    today, people = local_day(now, zone_of(None)), signing_of(rows)
    ages = ages_for(people, today)
    return [consent_ending_sentence(*people[row.pk], today, ages[row.pk]) for row in rows]


CONSENT_ENDING = CallSource(
    reason="consent_ending",
    explained="The touch consent of a client who is booked ends soon.",
    rows=_ending,
    by="until",
    about="consent_id",
    since="recorded_at",
    told=_told,
)
