"""The words of a client's health history, consent, preference and orders, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum

# Health history


class OperationKind(StrEnum):
    """What was done in surgery, as far as it bears on stretching."""

    MASTECTOMY = "mastectomy"
    LUMPECTOMY = "lumpectomy"
    AXILLARY_DISSECTION = "axillary_dissection"
    SENTINEL_BIOPSY = "sentinel_biopsy"
    EXPANDER = "expander"
    IMPLANT = "implant"
    LATISSIMUS_RECONSTRUCTION = "latissimus_reconstruction"
    ABDOMINAL_FLAP = "abdominal_flap"
    HEAD_AND_NECK = "head_and_neck"
    THORACIC = "thoracic"
    ABDOMINAL = "abdominal"
    PELVIC = "pelvic"
    OTHER = "other"
    PROSTATECTOMY = "prostatectomy"
    HYSTERECTOMY = "hysterectomy"
    PELVIC_FLOOR = "pelvic_floor"
    STOMA = "stoma"


class OperationApproach(StrEnum):
    """How an operation of abdomen or pelvis was done: by keyhole or by an open cut."""

    KEYHOLE = "keyhole"
    OPEN = "open"


class ConditionKind(StrEnum):
    """A condition that narrows what may be done."""

    BONE_FRAGILITY = "bone_fragility"
    BONE_METASTASIS = "bone_metastasis"
    CLOT = "clot"
    CORDING = "cording"
    DROOPING_SHOULDER = "drooping_shoulder"
    LYMPHEDEMA = "lymphedema"
    OTHER = "other"
    CHEMOTHERAPY = "chemotherapy"
    NEUTROPENIA = "neutropenia"
    LOW_PLATELETS = "low_platelets"
    ANEMIA = "anemia"
    ANTICOAGULANTS = "anticoagulants"
    ARM_CLOT = "arm_clot"
    NUMB_FEET = "numb_feet"
    FALLS = "falls"
    IMPLANTED_PORT = "implanted_port"
    STOMA = "stoma"
    BRAIN_METASTASIS = "brain_metastasis"
    SEIZURES = "seizures"
    HEART_DISEASE = "heart_disease"
    HEART_DEVICE = "heart_device"
    COMPRESSION_GARMENT = "compression_garment"


class WordsEffect(StrEnum):
    """What a condition in free words means for the work, as an evaluating practitioner said."""

    NO_EFFECT = "no_effect"
    CAUTION = "caution"
    CLOSES = "closes"


class ClosedWork(StrEnum):
    """Which work a condition in free words closes at its sites, without sites everywhere.

    ``assisted_stretching`` is contract-relax and passive; ``all_work`` is that and the rest.
    """

    HANDS_ON = "hands_on"
    ASSISTED_STRETCHING = "assisted_stretching"
    LOAD = "load"
    ALL_WORK = "all_work"


class BloodCountKind(StrEnum):
    """A count of the blood: neutrophils per microliter, platelets in 10^9 per liter,
    hemoglobin in grams per deciliter."""

    NEUTROPHILS = "neutrophils"
    PLATELETS = "platelets"
    HEMOGLOBIN = "hemoglobin"


class NeckHistory(StrEnum):
    """What is known of the neck; not asked is not "none"."""

    NOT_ASKED = "not_asked"
    NONE = "none"
    INJURY = "injury"
    DISC_TROUBLE = "disc_trouble"


class ClearanceNeed(StrEnum):
    """Whether the history asks for a physician's clearance before loading."""

    NOT_ASKED = "not_asked"
    NOT_NEEDED = "not_needed"
    NEEDED = "needed"


class RedFlag(StrEnum):
    """A sign of the day that ends the session before it begins.

    ``breathlessness`` is at rest; ``bleeding`` does not stop.
    """

    FEVER = "fever"
    HOT_RED_OR_BLOTCHY_LIMB = "hot_red_or_blotchy_limb"
    CHEST_PAIN = "chest_pain"
    BREATHLESSNESS = "breathlessness"
    CALF_PAIN_ONE_SIDED = "calf_pain_one_sided"
    NEW_BONE_PAIN = "new_bone_pain"
    NEW_NERVE_PAIN = "new_nerve_pain"
    REST_PAIN = "rest_pain"
    NEW_SWELLING = "new_swelling"
    LEGS_NUMB_OR_WEAK = "legs_numb_or_weak"
    BLADDER_OR_BOWEL_LOST = "bladder_or_bowel_lost"
    SEIZURE = "seizure"
    WORST_HEADACHE = "worst_headache"
    SPEECH_OR_SIGHT_LOST = "speech_or_sight_lost"
    BLEEDING = "bleeding"
    FAINTED = "fainted"
    NEARLY_FAINTED = "nearly_fainted"
    WOUND_OPENED_OR_WEEPING = "wound_opened_or_weeping"
    FALL = "fall"


class Limb(StrEnum):
    """A limb that the arrival questions ask about."""

    ARM = "arm"
    LEG = "leg"
