"""A series of readings as a picture: readings, goal, error band, surgery and discharge marked."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from typing import Any

from sessions.domain.motion.ranges import words
from sessions.selectors.motion import Series

INK, BAND, GOAL = "#1f4e79", "#9dc3e6", "#548235"
MIME = {"svg": "image/svg+xml", "png": "image/png"}


def picture(series: Series, kind: str) -> bytes:
    """The series as SVG or PNG. The plotting library is only loaded here."""
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    mpl.rcParams["svg.hashsalt"] = "practice record"
    figure = Figure(figsize=(8, 4.5), layout="constrained")
    FigureCanvasAgg(figure)
    axes: Any = figure.subplots()
    _readings(axes, series)
    _marks(axes, series)
    axes.set_title(f"{words(series.movement)}, {series.side.value}".capitalize())
    axes.set_ylabel("degrees")
    axes.grid(visible=True, alpha=0.3)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(loc="best", fontsize="small")
    figure.autofmt_xdate()
    out = BytesIO()
    # No date and no random ids: the same readings give the same bytes.
    figure.savefig(out, format=kind, metadata={"Date": None} if kind == "svg" else None)
    return out.getvalue()


def _readings(axes: Any, series: Series) -> None:
    if not series.readings:
        axes.text(0.5, 0.5, "no reading yet", ha="center", transform=axes.transAxes)
        return
    days = [one.at for one in series.readings]
    degrees = [one.degrees for one in series.readings]
    if series.error is not None:
        low = [value - series.error for value in degrees]
        high = [value + series.error for value in degrees]
        label = f"measurement error ±{series.error:g}°, same rater"
        axes.fill_between(days, low, high, color=BAND, alpha=0.4, label=label)
    axes.plot(days, degrees, marker="o", color=INK, label="readings")


def _marks(axes: Any, series: Series) -> None:
    if series.goal is not None:
        label = f"goal {series.goal.degrees}° ({series.goal.source})"
        axes.axhline(series.goal.degrees, color=GOAL, linestyle="--", label=label)
    _line(axes, series.surgery, "surgery", ":")
    _line(axes, series.discharged, "discharge", "-.")


def _line(axes: Any, days: list[date], label: str, style: str) -> None:
    for number, day in enumerate(days):
        shown = {"label": label} if number == 0 else {}
        axes.axvline(day, color="#7f7f7f", linestyle=style, **shown)
