"""The picture of a traced block: names of edges stand clear of its lines."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from ease.block.curves import flatten
from ease.demo import shipped_block
from ease.files.block_toml import load_block
from ease.files.trace_file import load_trace
from ease.show.trace_figure import SIZE_IN, draw_trace


def traced_rows() -> list[str]:
    """The demo block as points read off a board, three to a curve."""
    path = shipped_block("demo")
    assert path is not None
    block = load_block(path)
    rows = [
        "# fold = 0",
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
                f"{piece.name},{edge.name},{name},{x:.2f},{y:.2f}"
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
