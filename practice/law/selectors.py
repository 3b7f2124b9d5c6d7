"""What sessions are evaluated by: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db.models import QuerySet

from practice.core.reasons import existing
from practice.law.models import ConsentAge, JurisdictionLimit


def limit_list() -> QuerySet[JurisdictionLimit]:
    """Every row of law, past ones too."""
    return JurisdictionLimit.objects.all()


def limit_get(limit_id: UUID) -> JurisdictionLimit:
    """One row of law. Raises Rejected 404."""
    return existing(limit_list().filter(pk=limit_id).first(), "limit")


def consent_age_list() -> QuerySet[ConsentAge]:
    """Every age of consent, past ones too."""
    return ConsentAge.objects.all()


def consent_age_get(age_id: UUID) -> ConsentAge:
    """One age of consent. Raises Rejected 404."""
    return existing(consent_age_list().filter(pk=age_id).first(), "age of consent")


def limits_on_record(jurisdiction: str) -> int:
    """How many rows of law a jurisdiction has, past ones too."""
    return JurisdictionLimit.objects.filter(jurisdiction=jurisdiction).count()


def consent_age_on(jurisdiction: str, day: date) -> ConsentAge | None:
    """The age of medical consent of a jurisdiction on a day; None: no row is on record."""
    return in_effect_on(ConsentAge.objects.filter(jurisdiction=jurisdiction), day)


def in_effect_on(rows: Iterable[ConsentAge], day: date) -> ConsentAge | None:
    """Of the rows of one jurisdiction the one that is in effect on a day."""
    there = [
        row
        for row in rows
        if row.effective_from <= day and (row.effective_to is None or row.effective_to >= day)
    ]
    return max(there, key=lambda row: (row.effective_from, row.pk), default=None)
