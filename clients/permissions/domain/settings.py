"""The practice's thresholds for permissions; values stand in the practice settings."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from clients.health.domain.terms import ConditionKind, OperationApproach, OperationKind, RedFlag
from practice.core.terms import Credential, Region, Technique


class PermissionSettings(msgspec.Struct, frozen=True, kw_only=True):
    """Every threshold of the permissions; no default stands in code.

    Weeks and days count from the operation; degrees are of arm elevation; pain and
    fatigue are 0-10; ``fever_celsius`` in degrees Celsius.
    """

    contract_relax_weeks: int
    passive_weeks: int
    arm_limit_days: int
    arm_limit_degrees: float
    abdominal_weeks_by_kind: Mapping[OperationKind, int]
    abdominal_weeks_by_approach: Mapping[OperationApproach, int]
    load_weeks: int
    load_pain: int
    blood_count_days: int
    chemotherapy_days_after: int
    neutrophils_precautions: float
    neutrophils_infection: float
    neutrophils_clearance: float
    platelets_progress: float
    platelets_load: float
    platelets_walking: float
    platelets_assisted: float
    platelets_hands_on: float
    hemoglobin_short: float
    port_days: int
    seizure_days: int
    skin_watch_days: int
    fever_celsius: float
    pain_red_flag: int
    pain_over_usual: int
    pain_active_only: int
    fatigue_warning: int
    competence_needed: tuple[Technique, ...]
    licensed_credentials: tuple[Credential, ...]
    operation_regions: Mapping[OperationKind, tuple[Region, ...]]
    refer_to: Mapping[RedFlag, str]
    evaluating_credentials: tuple[Credential, ...]
    emergency_signs: tuple[RedFlag, ...]
    emergency_signs_in_chemotherapy: tuple[RedFlag, ...]
    words_for_nothing: tuple[str, ...]
    refer_for_condition: Mapping[ConditionKind, str]
    consent_days: int
    consent_warning_days: int
    consent_age_years: int
    clearance_days: int
