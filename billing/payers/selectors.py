"""Payers and service codes as they stand."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from billing.payers.domain.rates import ThresholdMeasure, YearlyThreshold
from billing.payers.domain.rules import (
    KnownCodes,
    PayerRules,
    PayerRulesById,
    UnitRule,
    VisitDefinition,
)
from billing.payers.models import PastPayerRules, Payer, ServiceCode
from practice.clock import clock
from practice.core.reasons import existing
from practice.core.terms import Credential, SessionPart
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.models import PRACTICE_ID, Practice


def practice_today() -> date:
    """The day it is on the practice's clock."""
    zone = Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
    return clock.now().astimezone(ZoneInfo(zone)).date()


def payer_list() -> QuerySet[Payer]:
    """Every payer with its map of parts to service codes and its rules of earlier days."""
    return Payer.objects.prefetch_related("services__service_code", "past_rules")


def payer_exists(payer_id: UUID) -> bool:
    """Whether there is a payer with that id."""
    return Payer.objects.filter(pk=payer_id).exists()


def payer_get(payer_id: UUID) -> Payer:
    """One payer; Rejected 404 where there is none."""
    return existing(payer_list().filter(pk=payer_id).first(), "payer")


def has_payers() -> bool:
    """Whether the practice has any payer in use."""
    return Payer.objects.filter(is_active=True).exists()


def service_code_list() -> QuerySet[ServiceCode]:
    """Every service code of the practice."""
    return ServiceCode.objects.all()


def service_code_get(code_id: UUID) -> ServiceCode:
    """One service code; Rejected 404 where there is none."""
    return existing(service_code_list().filter(pk=code_id).first(), "service code")


def payer_rules(payer_ids: Collection[UUID]) -> PayerRulesById:
    """The rules of some payers, of earlier days too, as the pure decisions are given them."""
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
        untimed=_untimed(
            (one.service_code.code for one in services if not one.service_code.timed),
            payer.group_code,
        ),
        group_code=payer.group_code,
        **_money(payer),
        earlier=tuple(_past_rules(payer, one) for one in payer.past_rules.all()),
    )


def _past_rules(payer: Payer, past: PastPayerRules) -> PayerRules:
    return PayerRules(
        payer_id=payer.pk,
        name=payer.name,
        revision=payer.revision,
        unit_rule=UnitRule(past.unit_rule),
        visit_definition=VisitDefinition(past.visit_definition),
        paid_credentials=frozenset(Credential(one) for one in past.paid_credentials),
        codes={
            (SessionPart(one["part"]), Credential(one["credential"])): one["code"]
            for one in past.services
        },
        untimed=_untimed(
            (one["code"] for one in past.services if not one["timed"]), past.group_code
        ),
        group_code=past.group_code,
        **_money(past),
        until=past.until,
    )


def _money(row: Payer | PastPayerRules) -> dict[str, Any]:
    return {
        "currency": row.currency,
        "rates": {one["code"]: Decimal(one["amount"]) for one in row.rates},
        "yearly_thresholds": tuple(
            YearlyThreshold(
                ThresholdMeasure(one["measure"]),
                Decimal(one["value"]),
                one["source"],
                frozenset(one["codes"]),
            )
            for one in row.yearly_thresholds
        ),
    }


def _untimed(codes: Iterable[str], group_code: str) -> frozenset[str]:
    """Codes that count once a day, that of groups among them."""
    return frozenset({*codes, group_code} - {""})


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
