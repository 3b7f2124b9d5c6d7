"""Billing's spec without one of its ids."""

from dataclasses import replace

from billing.spec import APP as BILLING

APP = replace(BILLING, practice_ids=("code_id",))
