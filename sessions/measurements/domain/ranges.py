"""What a reading can be: the sides a movement has, possible and usual degrees."""

from __future__ import annotations

from practice.core.reasons import Rejected, invalid
from practice.core.terms import Instrument, Movement, Side
from sessions.measurements.domain.settings import MeasurementSettings

MIDLINE = frozenset(
    {
        Movement.NECK_FLEXION,
        Movement.NECK_EXTENSION,
        Movement.TRUNK_FLEXION,
        Movement.TRUNK_EXTENSION,
    }
)


def movement_words(movement: Movement) -> str:
    """A movement in plain words: ``shoulder_flexion`` -> ``shoulder flexion``."""
    return movement.value.replace("_", " ")


def check_side(movement: Movement, side: Side) -> None:
    """Refuse a side that the movement does not have (400)."""
    if movement in MIDLINE and side is not Side.BOTH:
        raise invalid("side", f"{movement_words(movement)} has no sides: give 'both'.")
    if movement not in MIDLINE and side is Side.BOTH:
        raise invalid(
            "side", f"{movement_words(movement)} is measured per side: give 'left' or 'right'."
        )


def check_instrument(instrument: Instrument) -> None:
    """Refuse an instrument that reads no degrees (400)."""
    if instrument is Instrument.TAPE:
        raise invalid(
            "instrument",
            "A tape reads centimetres: give goniometer, inclinometer or estimate for degrees.",
        )


def unlikely_text(movement: Movement, degrees: int, settings: MeasurementSettings) -> str:
    """The warning that a value is outside what is usual."""
    low, high = settings.usual[movement]
    return f"{degrees}° of {movement_words(movement)} is outside the usual {low}° to {high}°."


def check_degrees(
    movement: Movement,
    degrees: int,
    settings: MeasurementSettings,
    *,
    confirmed: bool = False,
    field: str = "degrees",
) -> bool:
    """Whether the value is unlikely; impossible is 400, unlikely and unconfirmed 400 too.

    The answer to both names the range. An unlikely value is taken once ``confirmed``.
    """
    low, high = settings.possible[movement]
    if not low <= degrees <= high:
        raise invalid(
            field,
            f"{movement_words(movement)} cannot be {degrees}°: possible is {low}° to {high}°.",
            code="impossible_degrees",
        )
    usual_low, usual_high = settings.usual[movement]
    unlikely = not usual_low <= degrees <= usual_high
    if unlikely and not confirmed:
        raise Rejected(
            "unlikely_degrees",
            f"{unlikely_text(movement, degrees, settings)} Measure again; if it stands, send it "
            "with confirmed_unlikely true.",
            status=400,
            fields={field: f"usual is {usual_low}° to {usual_high}°; confirm to keep it"},
            extra={"usual": [usual_low, usual_high], "possible": [low, high]},
        )
    return unlikely
