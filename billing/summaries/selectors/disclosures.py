"""What left the practice."""

from __future__ import annotations

from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from billing.summaries.domain.decisions import VISIT_SUMMARY
from billing.summaries.models import Disclosure
from practice.core.reasons import existing
from practice.people_and_places.models.staff import Staff
from practice.work.loading import stream_version


def check_client(client_id: UUID) -> None:
    """Rejected 404 for a client who does not exist; one whose record was erased does."""
    stream_version(client_id)


def disclosure_list() -> QuerySet[Disclosure]:
    """What left the practice; ``disclosed_by_name`` is who released it."""
    staff = Staff.objects.filter(pk=OuterRef("disclosed_by")).values("name")
    return Disclosure.objects.annotate(disclosed_by_name=Coalesce(Subquery(staff), Value("")))


def summary_list() -> QuerySet[Disclosure]:
    """The visit summaries among them."""
    return disclosure_list().filter(what=VISIT_SUMMARY)


def summary_get(summary_id: UUID) -> Disclosure:
    """The disclosure of a visit summary; Rejected 404 where there is none."""
    return existing(summary_list().filter(pk=summary_id).first(), "visit summary")
