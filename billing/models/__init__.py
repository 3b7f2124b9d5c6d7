"""Billing's tables: settings tables of payers and codes, read tables of what was drawn."""

from billing.models.disclosures import Disclosure
from billing.models.drawn import Authorization, Visit
from billing.models.payers import Payer, ServiceCode, ServiceMap

__all__ = ["Authorization", "Disclosure", "Payer", "ServiceCode", "ServiceMap", "Visit"]
