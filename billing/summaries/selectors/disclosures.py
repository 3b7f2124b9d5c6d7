"""What left the practice, and the file of an export while it may be downloaded."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from billing.authorizations.selectors.authorizations import billing_settings
from billing.summaries.domain.decisions import VISIT_SUMMARY
from billing.summaries.models import Disclosure
from practice.core.reasons import Rejected, existing
from practice.people_and_places.models.staff import Staff
from practice.work.loading import stream_version


def check_client(client_id: UUID) -> None:
    """Rejected 404 for a client who does not exist; one whose record was erased does."""
    stream_version(client_id)


def disclosure_list() -> QuerySet[Disclosure]:
    """What left the practice; ``disclosed_by_name`` is who released it."""
    staff = Staff.objects.filter(pk=OuterRef("disclosed_by")).values("name")
    return Disclosure.objects.annotate(disclosed_by_name=Coalesce(Subquery(staff), Value("")))


def summary_get(disclosure_id: UUID, now: datetime) -> Disclosure:
    """The disclosure under which a visit summary may be downloaded.

    Rejected 404 where there is none, 410 where it was made too long ago: a later
    release is a disclosure of its own.
    """
    found = existing(
        Disclosure.objects.filter(pk=disclosure_id, what=VISIT_SUMMARY).first(), "visit summary"
    )
    kept = billing_settings().summary_kept_hours
    if now - found.disclosed_at > timedelta(hours=kept):
        raise Rejected(
            "summary_expired",
            f"A visit summary can be downloaded for {kept} hours. Export it again: each "
            "release is logged as a disclosure.",
            status=410,
        )
    return found
