"""Payers and service codes as they stand."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from billing.payers.domain.rules import (
    KnownCodes,
    PayerRules,
    PayerRulesById,
    UnitRule,
    VisitDefinition,
)
from billing.payers.models import Payer, ServiceCode
from practice.core.reasons import existing
from practice.core.terms import Credential, SessionPart
from practice.people_and_places.models.practitioners import Practitioner


def payer_list() -> QuerySet[Payer]:
    """Every payer with its map of parts to service codes."""
    return Payer.objects.prefetch_related("services__service_code")


def payer_get(payer_id: UUID) -> Payer:
    """One payer; Rejected 404 where there is none."""
    return existing(payer_list().filter(pk=payer_id).first(), "payer")


def service_code_get(code_id: UUID) -> ServiceCode:
    """One service code; Rejected 404 where there is none."""
    return existing(ServiceCode.objects.filter(pk=code_id).first(), "service code")


def payer_rules(payer_ids: Collection[UUID]) -> PayerRulesById:
    """The rules of some payers, as the pure decisions are given them; two queries."""
    if not payer_ids:
        return {}
    return {payer.pk: _rules(payer) for payer in payer_list().filter(pk__in=payer_ids)}


def _rules(payer: Payer) -> PayerRules:
    services = list(payer.services.all())
    return PayerRules(
        payer_id=payer.pk,
        name=payer.name,
        revision=payer.revision,
        unit_rule=UnitRule(payer.unit_rule),
        visit_definition=VisitDefinition(payer.visit_definition),
        paid_credentials=frozenset(Credential(one) for one in payer.paid_credentials),
        codes={
            (SessionPart(one.part), Credential(one.credential)): one.service_code.code
            for one in services
        },
        untimed=frozenset(one.service_code.code for one in services if not one.service_code.timed),
    )


def known_codes() -> KnownCodes:
    """What an authorization may name: active service codes, and the practice's practitioners."""
    return KnownCodes(
        frozenset(ServiceCode.objects.filter(is_active=True).values_list("code", flat=True)),
        frozenset(Practitioner.objects.values_list("pk", flat=True)),
    )


def payer_names(rows: Iterable[Any]) -> dict[UUID | None, str]:
    """The names of the payers that rows of a read table name, by id; one query."""
    wanted = {row.payer_id for row in rows} - {None}
    return dict(Payer.objects.filter(pk__in=wanted).values_list("pk", "name"))
