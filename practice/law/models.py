"""What a jurisdiction lets a credential do."""

from __future__ import annotations

from django.db import models

from practice.core.terms import Activity, Allowance, Credential, SupervisionLevel
from practice.policy.rows import RevisionedModel

HIGHEST_CONSENT_AGE = 21
"""Years; no row may say more, so that older clients need no look-up."""


class Pathology(models.TextChoices):
    """Whether a limit speaks of clients whose pathology is under treatment."""

    TREATED = "treated"
    NONE = "none"
    ANY = "any"


class JurisdictionLimit(RevisionedModel):
    """One row of law, with its source and the day it was verified by the practice; null for
    a starter row that nobody of the practice has verified yet.

    The direct-access columns say after how many calendar days or visits, whichever
    comes first, treatment without a physician needs a dated signature. ``supervision`` says
    how near the supervisor must be where ``allowance`` asks for one; the rows that concern a
    client add up and the strictest wins. A row with ``payer_id`` speaks only of clients whose
    payer that is: it can narrow what the law allows, and never stands for it.
    """

    jurisdiction = models.CharField(max_length=10)
    credential = models.CharField(max_length=40, choices=[(c.value, c.value) for c in Credential])
    activity = models.CharField(max_length=40, choices=[(a.value, a.value) for a in Activity])
    pathology = models.CharField(max_length=10, choices=Pathology.choices, default=Pathology.ANY)
    allowance = models.CharField(max_length=20, choices=[(a.value, a.value) for a in Allowance])
    effective_from = models.DateField()
    effective_to = models.DateField(null=True)
    source = models.CharField(max_length=400)
    verified_on = models.DateField(null=True)
    direct_access_days = models.PositiveSmallIntegerField(null=True)
    direct_access_visits = models.PositiveSmallIntegerField(null=True)
    supervision = models.CharField(
        max_length=32,
        choices=[(s.value, s.value) for s in SupervisionLevel],
        default=SupervisionLevel.DIRECT,
    )
    payer_id = models.UUIDField(null=True)

    class Meta:
        """One row for a question from a day on."""

        constraints = (
            models.UniqueConstraint(
                fields=(
                    "jurisdiction",
                    "credential",
                    "activity",
                    "pathology",
                    "effective_from",
                ),
                condition=models.Q(payer_id=None),
                name="jurisdiction_limit_once",
            ),
            models.UniqueConstraint(
                fields=(
                    "jurisdiction",
                    "credential",
                    "activity",
                    "pathology",
                    "effective_from",
                    "payer_id",
                ),
                condition=models.Q(payer_id__isnull=False),
                name="payer_limit_once",
            ),
        )

    def __str__(self) -> str:
        return f"{self.jurisdiction} {self.credential} {self.activity}: {self.allowance}"


class ConsentAge(RevisionedModel):
    """From which age a jurisdiction lets people consent to health care alone, with its source
    and the day on which the practice verified it; null for a starter row that nobody has
    verified yet, which lowers no age. Where there is no row the practice's setting
    ``consent_age_years`` counts."""

    jurisdiction = models.CharField(max_length=10)
    years = models.PositiveSmallIntegerField()
    effective_from = models.DateField()
    effective_to = models.DateField(null=True)
    source = models.CharField(max_length=400)
    verified_on = models.DateField(null=True)

    class Meta:
        """One row from a day on."""

        constraints = (
            models.UniqueConstraint(
                fields=("jurisdiction", "effective_from"), name="consent_age_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.jurisdiction}: {self.years} years"
