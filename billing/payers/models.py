"""Payers and service codes: the practice's own settings, with change history."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from billing.payers.domain.rules import UnitRule, VisitDefinition
from practice.policy.rows import RevisionedModel


class ServiceCode(RevisionedModel):
    """A service code with the practice's own short description of it.

    No code set's descriptions are shipped: they belong to others.
    """

    code = models.CharField(max_length=20, unique=True)
    description = models.CharField(max_length=80)
    timed = models.BooleanField()
    is_active = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.code


class Payer(RevisionedModel):
    """Who pays: how it makes units and visits, whose time it pays, where disclosures go.

    Its rules are those in force last; ``past_rules`` are those of earlier days. ``rates`` are
    ``{code, amount, source}``, ``yearly_thresholds`` ``{measure, value, codes, source}``; amounts
    are decimal strings in its currency. ``progress_note_rule`` is ``{treatment_days,
    calendar_days, warn_treatment_days, warn_calendar_days, source}``, null where it asks for none.
    """

    name = models.CharField(max_length=120, unique=True)
    unit_rule = models.CharField(max_length=30, default=UnitRule.CMS_TOTAL_TIME.value)
    visit_definition = models.CharField(max_length=20, default=VisitDefinition.CALENDAR_DAY.value)
    paid_credentials = models.JSONField(default=list)
    group_code = models.CharField(max_length=20, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    rates = models.JSONField(default=list)
    yearly_thresholds = models.JSONField(default=list)
    progress_note_rule = models.JSONField(null=True)
    disclosure_address = models.TextField(blank=True)
    is_active = models.BooleanField(default=True)

    LISTS: ClassVar = ("services", "past_rules")

    def __str__(self) -> str:
        return self.name


class ServiceMap(models.Model):
    """Which code a part of the session is, delivered by a credential, for one payer."""

    id = models.BigAutoField(primary_key=True)
    payer = models.ForeignKey(Payer, models.CASCADE, related_name="services")
    part = models.CharField(max_length=30)
    credential = models.CharField(max_length=40)
    service_code = models.ForeignKey(ServiceCode, models.PROTECT, related_name="mapped")

    class Meta:
        """One code for a part and credential."""

        ordering = ("part", "credential")
        constraints = (
            models.UniqueConstraint(
                fields=("payer", "part", "credential"), name="service_map_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.part} by {self.credential}"


class PastPayerRules(models.Model):
    """Rules of a payer that held for days before ``until`` (and from the one before it on).

    ``services`` are ``{part, credential, code, timed}``: a code and whether it is timed stay.
    """

    id = models.BigAutoField(primary_key=True)
    payer = models.ForeignKey(Payer, models.CASCADE, related_name="past_rules")
    until = models.DateField()
    unit_rule = models.CharField(max_length=32)
    visit_definition = models.CharField(max_length=32)
    paid_credentials = models.JSONField(default=list)
    group_code = models.CharField(max_length=20, blank=True)
    currency = models.CharField(max_length=3, default="USD")
    rates = models.JSONField(default=list)
    yearly_thresholds = models.JSONField(default=list)
    progress_note_rule = models.JSONField(null=True)
    services = models.JSONField(default=list)

    class Meta:
        """In order of time; a day ends one period only."""

        ordering = ("until",)
        constraints = (
            models.UniqueConstraint(fields=("payer", "until"), name="past_payer_rules_once"),
        )

    def __str__(self) -> str:
        return f"{self.payer_id} until {self.until}"
