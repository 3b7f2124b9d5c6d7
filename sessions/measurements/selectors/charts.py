"""A series of readings as a picture: readings, goal, error band, surgery and discharge marked."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from io import BytesIO
from typing import Any

from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.ranges import movement_words
from sessions.measurements.domain.thinning import thinned
from sessions.measurements.selectors.readings import InstrumentSeries, ReadingSeries

SERIES_COLOURS = ("#1f4e79", "#8a4b08", "#6a3d7c", "#4d4d4d")
GOAL_COLOUR = "#548235"
MIME_TYPES = {"svg": "image/svg+xml", "png": "image/png"}


def render_chart(series: ReadingSeries, kind: str) -> bytes:
    """The series as SVG or PNG. The plotting library is only loaded here."""
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    mpl.rcParams["svg.hashsalt"] = "practice record"
    figure = Figure(figsize=(8, 4.5), layout="constrained")
    FigureCanvasAgg(figure)
    axes: Any = figure.subplots()
    drawn = replace(series, strands=[_thinned(one) for one in series.strands])
    _readings(axes, drawn)
    _marks(axes, drawn)
    title = f"{movement_words(series.movement)}, {series.side.value}, {series.motion.value}"
    axes.set_title(title.capitalize() + thinning_words(series, drawn))
    axes.set_ylabel("degrees")
    axes.grid(visible=True, alpha=0.3)
    if axes.get_legend_handles_labels()[0]:
        # Below the axes, so that it never hides a reading or the goal.
        figure.legend(loc="outside lower center", ncols=2, fontsize="small")
    figure.autofmt_xdate()
    out = BytesIO()
    # No date and no random ids: the same readings give the same bytes.
    figure.savefig(out, format=kind, metadata={"Date": None} if kind == "svg" else None)
    return out.getvalue()


def _thinned(strand: InstrumentSeries) -> InstrumentSeries:
    return replace(strand, own=thinned(strand.own), foreign=thinned(strand.foreign))


def thinning_words(series: ReadingSeries, drawn: ReadingSeries) -> str:
    """Where not every reading is drawn, a line of the title that says so."""
    whole, few = (sum(len(one.readings) for one in found.strands) for found in (series, drawn))
    if few == whole:
        return ""
    return f"\n{few} of {whole} readings drawn: the lowest and highest of each part, first and last"


def _readings(axes: Any, series: ReadingSeries) -> None:
    if not series.strands:
        axes.text(0.5, 0.5, "no reading yet", ha="center", transform=axes.transAxes)
        return
    for number, strand in enumerate(series.strands):
        _strand(axes, strand, SERIES_COLOURS[number % len(SERIES_COLOURS)])


def _strand(axes: Any, strand: InstrumentSeries, ink: str) -> None:
    """One line joins what is alike. Each reading has the band that holds for its rater."""
    name = strand.instrument.value.replace("_", " ")
    axes.plot(*_points(strand.readings), color=ink, linewidth=1)
    label = f"{name}, one rater{_error(strand, foreign=False)}"
    axes.plot(*_points(strand.own), color=ink, marker="o", linestyle="", label=label)
    if strand.error is not None:
        _band(axes, strand.own, strand.error.same_rater, ink)
    if not strand.foreign:
        return
    days, degrees = _points(strand.foreign)
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


def _points(readings: list[ComparableReading]) -> tuple[list[datetime], list[int]]:
    return [one.occurred_at for one in readings], [one.degrees for one in readings]


def _error(strand: InstrumentSeries, *, foreign: bool) -> str:
    """What the band of a label is: the error of two raters is not that of one."""
    if strand.error is None:
        return ": error not known"
    if foreign:
        return f": ±{strand.error.two_raters:g}° (two raters)"
    return f": ±{strand.error.same_rater:g}° (same rater)"


def _band(axes: Any, readings: list[ComparableReading], error: float, ink: str) -> None:
    days, degrees = _points(readings)
    if len(days) == 1:
        axes.errorbar(days, degrees, yerr=error, color=ink, alpha=0.4, linestyle="", capsize=4)
        return
    low = [value - error for value in degrees]
    high = [value + error for value in degrees]
    axes.fill_between(days, low, high, color=ink, alpha=0.12, linewidth=0)


def _marks(axes: Any, series: ReadingSeries) -> None:
    if series.goal is not None:
        label = f"goal {series.goal.degrees}° ({series.goal.source})"
        axes.axhline(series.goal.degrees, color=GOAL_COLOUR, linestyle="--", label=label)
    _line(axes, series.surgery, "surgery", ":")
    _line(axes, series.discharged, "discharge", "-.")


def _line(axes: Any, days: list[date], label: str, style: str) -> None:
    for number, day in enumerate(days):
        shown = {"label": label} if number == 0 else {}
        axes.axvline(day, color="#7f7f7f", linestyle=style, **shown)
