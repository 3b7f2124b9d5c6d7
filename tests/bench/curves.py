"""Curves of growth as a picture, drawn with the library that draws readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Curves:
    """Curves over one axis, each a series of points."""

    title: str
    across: str
    upward: str
    points: Mapping[str, Sequence[tuple[float, float]]]


def draw(file: Path, pictures: Sequence[Curves]) -> None:
    """Side by side, as SVG and PNG."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    file.parent.mkdir(parents=True, exist_ok=True)
    figure = Figure(figsize=(5 * len(pictures), 4.5), layout="constrained")
    FigureCanvasAgg(figure)
    for axes, one in zip(figure.subplots(1, len(pictures)), pictures, strict=True):
        _draw_one(axes, one)
    for kind in ("svg", "png"):
        figure.savefig(file.with_suffix(f".{kind}"))


def _draw_one(axes: Any, one: Curves) -> None:
    for name, points in one.points.items():
        axes.plot(*zip(*points, strict=True), marker="o", label=name)
    axes.set_title(one.title)
    axes.set_xlabel(one.across)
    axes.set_ylabel(one.upward)
    axes.set_xscale("log")
    measured = sorted({across for points in one.points.values() for across, _ in points})
    axes.set_xticks(measured, [f"{across:,.0f}" for across in measured])
    axes.minorticks_off()
    axes.set_ylim(bottom=0)
    axes.grid(visible=True, alpha=0.3)
    axes.legend()
