"""The trade's words as closed lists, shared by every layer of the code.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from enum import StrEnum


class Role(StrEnum):
    """What a member of staff may do in the practice."""

    OWNER = "owner"
    FRONT_DESK = "front_desk"
    PRACTITIONER = "practitioner"
    BILLING = "billing"


class Credential(StrEnum):
    """The training under which a practitioner works."""

    PHYSICAL_THERAPIST = "physical_therapist"
    OCCUPATIONAL_THERAPIST = "occupational_therapist"
    MASSAGE_THERAPIST = "massage_therapist"
    PERSONAL_TRAINER = "personal_trainer"
    PHYSICAL_THERAPIST_ASSISTANT = "physical_therapist_assistant"
    OCCUPATIONAL_THERAPY_ASSISTANT = "occupational_therapy_assistant"


class SupervisionLevel(StrEnum):
    """How near a supervisor must be: reachable, or working at that facility that day."""

    GENERAL = "general"
    DIRECT = "direct"


class Gender(StrEnum):
    """A practitioner's gender as stated by the practitioner, for a client's preference."""

    WOMAN = "woman"
    MAN = "man"
    NONBINARY = "nonbinary"


class Activity(StrEnum):
    """What a jurisdiction's limit speaks about."""

    ASSISTED_STRETCHING = "assisted_stretching"
    SOFT_TISSUE_WORK = "soft_tissue_work"
    EXERCISE_INSTRUCTION = "exercise_instruction"


class Allowance(StrEnum):
    """What a jurisdiction, a facility or the practice says to an activity."""

    ALLOWED = "allowed"
    UNDER_SUPERVISION = "under_supervision"
    NOT_ALLOWED = "not_allowed"


class Technique(StrEnum):
    """How a stretch is done."""

    ACTIVE_ISOLATED = "active_isolated"
    CONTRACT_RELAX = "contract_relax"
    PASSIVE = "passive"


class Region(StrEnum):
    """Where a client may be touched."""

    HEAD_AND_NECK = "head_and_neck"
    SHOULDER = "shoulder"
    ARM = "arm"
    CHEST = "chest"
    UPPER_BACK = "upper_back"
    ABDOMEN = "abdomen"
    LOWER_BACK = "lower_back"
    HIP = "hip"
    LEG = "leg"


class Side(StrEnum):
    """A side of the body; BOTH where the two are not told apart."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class Mode(StrEnum):
    """What may be done, from widest to narrowest."""

    HANDS_ON = "hands_on"
    SELF_DIRECTED = "self_directed"
    NOT_TODAY = "not_today"


class AbsenceKind(StrEnum):
    """Why a practitioner is absent."""

    ILL = "ill"
    LEAVE = "leave"
    TRAINING = "training"
    OTHER = "other"


class SessionPart(StrEnum):
    """The parts of the paid hour, and what is measured and talked over."""

    STRETCHING = "stretching"
    CARDIO = "cardio"
    STRENGTH = "strength"
    MEASURING_AND_TALK = "measuring_and_talk"


class Movement(StrEnum):
    """A movement whose range is measured, in degrees."""

    SHOULDER_FLEXION = "shoulder_flexion"
    SHOULDER_EXTENSION = "shoulder_extension"
    SHOULDER_ABDUCTION = "shoulder_abduction"
    SHOULDER_INTERNAL_ROTATION = "shoulder_internal_rotation"
    SHOULDER_EXTERNAL_ROTATION = "shoulder_external_rotation"
    SHOULDER_CROSS_BODY_ADDUCTION = "shoulder_cross_body_adduction"
    NECK_FLEXION = "neck_flexion"
    NECK_EXTENSION = "neck_extension"
    NECK_LATERAL_FLEXION = "neck_lateral_flexion"
    NECK_ROTATION = "neck_rotation"
    HIP_FLEXION = "hip_flexion"
    HIP_EXTENSION = "hip_extension"
    HIP_ABDUCTION = "hip_abduction"
    TRUNK_FLEXION = "trunk_flexion"
    TRUNK_EXTENSION = "trunk_extension"
    TRUNK_LATERAL_FLEXION = "trunk_lateral_flexion"


class MotionType(StrEnum):
    """Who moves the joint while it is measured."""

    ACTIVE = "active"
    PASSIVE = "passive"


class Instrument(StrEnum):
    """What the range is measured with; figures of two classes are never compared."""

    GONIOMETER = "goniometer"
    INCLINOMETER = "inclinometer"
    TAPE = "tape"
    ESTIMATE = "estimate"


class BodyPosition(StrEnum):
    """How the client is placed while being measured."""

    SUPINE = "supine"
    PRONE = "prone"
    SITTING = "sitting"
    STANDING = "standing"
    SIDE_LYING = "side_lying"
