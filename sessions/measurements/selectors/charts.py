"""A series of readings as a picture that can be read away from the program: what, whose, when,
how it was measured, each value, goal, error band, surgery and discharge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from io import BytesIO
from typing import Any
from uuid import UUID

from clients.identity.selectors import client_get
from practice.core.decisions import Actor
from practice.core.localtime import zone_named
from practice.core.terms import BodyPosition
from practice.policy.selectors import practice_get
from sessions.calendar.selectors.facilities import zone_of
from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.ranges import movement_words
from sessions.measurements.domain.thinning import thinned, valued
from sessions.measurements.selectors.readings import InstrumentSeries, ReadingSeries

SERIES_COLOURS = ("#1f4e79", "#8a4b08", "#6a3d7c", "#4d4d4d")
GOAL_COLOUR = "#548235"
MIME_TYPES = {"svg": "image/svg+xml", "png": "image/png"}


MOST_DATES = 8
"""So many days of readings are each written below the axis; more are left to the library."""


@dataclass(frozen=True)
class ChartHeading:
    """Whose picture it is, by name or initials, who made it, and the zone of its dates."""

    client: str
    practice: str
    zone: tzinfo


def initials(name: str) -> str:
    """The first letter of each word of a name: ``A. L.``."""
    letters = (next((sign for sign in word if sign.isalpha()), "") for word in name.split())
    return " ".join(f"{letter.upper()}." for letter in letters if letter)


def chart_heading(actor: Actor, client_id: UUID, *, named: bool) -> ChartHeading:
    """The heading of a client's picture, for who may see the client. Raises Rejected 404."""
    name = client_get(actor, client_id).name
    return ChartHeading(
        client=name if named else initials(name),
        practice=practice_get().name,
        zone=zone_named(zone_of(None)),
    )


def chart_title(series: ReadingSeries) -> str:
    """What the picture shows: movement, side, who moved, unit."""
    what = f"{movement_words(series.movement)}, {series.side.value}, {series.motion.value}"
    return f"{what[0].upper()}{what[1:]} (degrees)"


def render_chart(series: ReadingSeries, kind: str, heading: ChartHeading) -> bytes:
    """The series as SVG or PNG. The plotting library is only loaded here."""
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    mpl.rcParams["svg.hashsalt"] = "practice record"
    # Text stays text: it can be searched, read aloud and copied.
    mpl.rcParams["svg.fonttype"] = "none"
    figure = Figure(figsize=(8, 5), layout="constrained")
    FigureCanvasAgg(figure)
    axes: Any = figure.subplots()
    drawn = replace(series, strands=[_thinned(one) for one in series.strands])
    _readings(axes, drawn, heading.zone)
    _marks(axes, drawn)
    _scale(axes, drawn, heading.zone)
    figure.suptitle(chart_title(series) + thinning_words(series, drawn))
    axes.set_title(", ".join(one for one in (heading.client, heading.practice) if one))
    axes.set_ylabel("degrees, from 0")
    axes.set_xlabel(caption(series), fontsize="x-small", wrap=True)
    axes.grid(visible=True, alpha=0.3)
    if axes.get_legend_handles_labels()[0]:
        # Below the axes, so that it never hides a reading or the goal.
        figure.legend(loc="outside lower center", ncols=2, fontsize="small")
    out = BytesIO()
    # No date and no random ids: the same readings give the same bytes.
    said = {"Date": None, "Title": chart_title(series)} if kind == "svg" else None
    figure.savefig(out, format=kind, metadata=said)
    return out.getvalue()


def _thinned(strand: InstrumentSeries) -> InstrumentSeries:
    return replace(strand, own=thinned(strand.own), foreign=thinned(strand.foreign))


def thinning_words(series: ReadingSeries, drawn: ReadingSeries) -> str:
    """Where not every reading is drawn, a line of the title that says so."""
    whole, few = (sum(len(one.readings) for one in found.strands) for found in (series, drawn))
    if few == whole:
        return ""
    return f"\n{few} of {whole} readings drawn: the lowest and highest of each part, first and last"


def caption(series: ReadingSeries) -> str:
    """What the goal rests on, with its edition: too long for a legend."""
    if series.goal is None:
        return ""
    edition = f", edition {series.goal.edition}" if series.goal.edition else ""
    return f"Goal of {series.goal.degrees}°: {series.goal.source}{edition}."


def _scale(axes: Any, series: ReadingSeries, zone: tzinfo) -> None:
    """Degrees from 0, so that a small change does not look like a large one; days by date."""
    from matplotlib.dates import DateFormatter

    readings = [one for strand in series.strands for one in strand.readings]
    degrees = [one.degrees for one in readings]
    goal = [series.goal.degrees] if series.goal else []
    axes.set_ylim(min(0, *degrees, *goal, 0), max([*degrees, *goal, 90]) * 1.15)
    axes.axhline(0, color="#000000", linewidth=0.8)
    days = sorted({_local(one.occurred_at, zone).date() for one in readings})
    if len(days) <= MOST_DATES:
        axes.set_xticks(days or sorted({*series.surgery, *series.discharged}))
    axes.xaxis.set_major_formatter(DateFormatter("%d %b %Y"))  # type: ignore[no-untyped-call]
    axes.tick_params(axis="x", rotation=30, labelsize="small")


def _local(at: datetime, zone: tzinfo) -> datetime:
    """Wall-clock time without zone, as the axis takes it."""
    return at.astimezone(zone).replace(tzinfo=None)


def _readings(axes: Any, series: ReadingSeries, zone: tzinfo) -> None:
    if not series.strands:
        axes.text(0.5, 0.5, "no reading yet", ha="center", transform=axes.transAxes)
        return
    for number, strand in enumerate(series.strands):
        _strand(axes, strand, SERIES_COLOURS[number % len(SERIES_COLOURS)], zone)
        _values(axes, strand, zone)


def _strand(axes: Any, strand: InstrumentSeries, ink: str, zone: tzinfo) -> None:
    """One line joins what is alike. Each reading has the band that holds for its rater."""
    name = f"{strand.instrument.value.replace('_', ' ')}, {_positions(strand)}"
    axes.plot(*_points(strand.readings, zone), color=ink, linewidth=1)
    label = f"{name}, one rater{_error(strand, foreign=False)}"
    axes.plot(*_points(strand.own, zone), color=ink, marker="o", linestyle="", label=label)
    if strand.error is not None:
        _band(axes, _points(strand.own, zone), strand.error.same_rater, ink)
    if not strand.foreign:
        return
    days, degrees = _points(strand.foreign, zone)
    axes.errorbar(
        days,
        degrees,
        yerr=strand.error.two_raters if strand.error else None,
        color=ink,
        marker="D",
        markerfacecolor="white",
        linestyle="",
        capsize=4,
        label=f"{name}, another rater{_error(strand, foreign=True)}",
    )


def _values(axes: Any, strand: InstrumentSeries, zone: tzinfo) -> None:
    """The value at each reading, or at those that tell most of a long series; the position too
    where a series has several."""
    readings = strand.readings
    several = len({one.position for one in readings}) > 1
    for one in valued(readings):
        text = f"{one.degrees}°"
        axes.annotate(
            f"{text} {_words(one.position)}" if several else text,
            (_local(one.occurred_at, zone), one.degrees),
            xytext=(0, 7),
            textcoords="offset points",
            ha="center",
            fontsize="small",
        )


def _positions(strand: InstrumentSeries) -> str:
    """How the client was placed, in all of a series."""
    return " or ".join(sorted({_words(one.position) for one in strand.readings}))


def _words(position: BodyPosition) -> str:
    return position.value.replace("_", " ")


def _points(readings: list[ComparableReading], zone: tzinfo) -> tuple[list[datetime], list[int]]:
    return [_local(one.occurred_at, zone) for one in readings], [one.degrees for one in readings]


def _error(strand: InstrumentSeries, *, foreign: bool) -> str:
    """What the band of a label is: the error of two raters is not that of one."""
    if strand.error is None:
        return ": error not known"
    if foreign:
        return f": ±{strand.error.two_raters:g}° (two raters)"
    return f": ±{strand.error.same_rater:g}° (same rater)"


def _band(axes: Any, points: tuple[list[datetime], list[int]], error: float, ink: str) -> None:
    days, degrees = points
    if len(days) == 1:
        axes.errorbar(days, degrees, yerr=error, color=ink, alpha=0.4, linestyle="", capsize=4)
        return
    low = [value - error for value in degrees]
    high = [value + error for value in degrees]
    axes.fill_between(days, low, high, color=ink, alpha=0.12, linewidth=0)


def _marks(axes: Any, series: ReadingSeries) -> None:
    if series.goal is not None:
        label = f"goal {series.goal.degrees}°"
        axes.axhline(series.goal.degrees, color=GOAL_COLOUR, linestyle="--", label=label)
    _line(axes, series.surgery, "surgery", ":")
    _line(axes, series.discharged, "discharge", "-.")


def _line(axes: Any, days: list[date], label: str, style: str) -> None:
    for number, day in enumerate(days):
        shown = {"label": label} if number == 0 else {}
        axes.axvline(day, color="#7f7f7f", linestyle=style, **shown)
