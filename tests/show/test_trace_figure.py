"""The picture of a traced block: names of edges stand clear of its lines."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from ease.block.curves import flatten
from ease.demo import shipped_block
from ease.files.block_toml import load_block
from ease.files.trace_file import load_trace
from ease.show.trace_figure import SIZE_IN, draw_trace
from ease.units import CM_PER


def traced_rows(fold: float = 0.0, side: float = 1.0) -> list[str]:
    """The demo block as points read off a board, three to a curve."""
    path = shipped_block("demo")
    assert path is not None
    block = load_block(path)
    rows = [
        f"# fold = {fold}",
        *(f"# level_{lv.name} = {lv.y} closed" for lv in block.levels),
    ]
    rows.append("piece,edge,point,across,down")
    for piece in block.pieces:
        for edge in piece.edges:
            points = np.concatenate(
                [flatten(c, 0.05)[:-1] for c in edge.control[:, None]]
            )
            step = max(1, len(points) // 12)
            names = [edge.start, *[""] * len(points)]
            rows += [
                f"{piece.name},{edge.name},{name},{fold + side * x:.2f},{y:.2f}"
                for name, (x, y) in zip(names, points[::step], strict=False)
            ]
    return rows


def test_names_of_edges_lie_on_no_line_and_on_no_other_name(tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text("\n".join(traced_rows()) + "\n", encoding="utf-8")
    traced = load_trace(path)
    figure = Figure(figsize=SIZE_IN, layout="constrained")
    axes = draw_trace(figure.add_subplot(), traced)
    FigureCanvasAgg(figure).draw()  # type: ignore[no-untyped-call]  # matplotlib's
    to_page = axes.transData
    outlines = [
        shapely.LineString(to_page.transform(loop))
        for patch in axes.patches
        for loop in patch.get_path().to_polygons()
    ]
    assert len(outlines) == len(traced.block.pieces)
    named = [t for t in axes.texts if (t.get_gid() or "").startswith("name of ")]
    assert len(named) == sum(len(piece.edges) for piece in traced.block.pieces)
    boxes = [shapely.box(*text.get_window_extent().extents) for text in named]
    for text, box in zip(named, boxes, strict=True):
        assert not any(box.intersects(line) for line in outlines), text.get_text()
        assert sum(box.intersects(other) for other in boxes) == 1, text.get_text()


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize(("fold", "side"), [(0.0, 1.0), (12.5, 1.0), (40.0, -1.0)])
def test_ticks_read_what_the_board_reads(
    tmp_path: Path, fold: float, side: float, units: str
) -> None:
    """At the fold stands where it lies; between ticks a point lies where it was read."""
    path = tmp_path / "points.csv"
    rows = traced_rows(fold, side)
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    figure = Figure(figsize=SIZE_IN)
    axes = draw_trace(figure.add_subplot(), load_trace(path), units=units)
    unit = CM_PER[units]
    ticks = list(zip(axes.get_xticks(), axes.get_xticklabels(), strict=True))
    for name in ("front", "back"):
        spans, dots = (
            next(line for line in axes.lines if line.get_gid() == f"{gid} {name}")
            for gid in ("board under", "points of")
        )
        left, right = np.asarray(spans.get_xdata()).tolist()
        own = [
            (x, float(text.get_text()))
            for x, text in ticks
            if left - 1e-6 <= x <= right + 1e-6
        ]
        assert len(own) >= 2
        places, labels = np.array(own).T
        slope, start = np.polyfit(places, labels, 1)
        typed = [
            float(row.split(",")[3]) for row in rows[4:] if row.startswith(f"{name},")
        ]
        read = (slope * np.asarray(dots.get_xdata()) + start) * unit
        # Labels have four digits: of 40 cm that is 0.005 cm, drawn out by the fit.
        assert read == pytest.approx(np.array(typed), abs=0.03)
        at_fold = min(own, key=lambda tick: abs(tick[0] - left))
        assert at_fold[1] == pytest.approx(fold / unit, abs=0.005)
    assert axes.get_xlabel() == f"across the board ({units})"
    down = zip(axes.get_yticks(), axes.get_yticklabels(), strict=True)
    assert all(
        float(text.get_text()) == pytest.approx(y / unit, abs=0.005) for y, text in down
    )
