"""All 993 women of the public survey, drafted and checked; run it by name.

    python -m pytest tests/benchmarks/bench_draft.py -s

Their navel waists are turned into natural waists first (fixture `survey`). Source key:
ansur-2012.
"""

from __future__ import annotations

from time import perf_counter

import numpy as np
import shapely
from numpy.typing import NDArray

from ease.block.curves import flatten
from ease.block.draft import draft_blocks
from ease.block.measure import level_girths, outline, torso_loop, walk_seams
from ease.block.openings import block_openings

Columns = dict[str, NDArray[np.float64]]


def test_all_survey_rows(survey: Columns) -> None:
    start = perf_counter()
    drafts = draft_blocks(survey)
    rows = [row for row, faults in enumerate(drafts.faults) if not faults]
    blocks = [drafts.block(row) for row in rows]
    seconds = perf_counter() - start
    worst = {"girth": 0.0, "loop": 0.0, "mates": 0.0}
    crossed, gaps = 0, []
    for row, block in zip(rows, blocks, strict=True):
        girths = level_girths(block)
        girth = max(abs(girths[k] - survey[k][row]) for k in ("bust", "waist", "hip"))
        loop = abs((torso_loop(block) or 0.0) - survey["torso_loop"][row])
        mates = max(abs(seam.difference_cm) for seam in walk_seams(block))
        for name, value in (("girth", girth), ("loop", loop), ("mates", mates)):
            worst[name] = max(worst[name], value)
        polygons = [shapely.Polygon(flatten(outline(piece))) for piece in block.pieces]
        crossed += sum(not polygon.is_valid for polygon in polygons)
        leg = next(o for o in block_openings(block) if o.name == "leg")
        gaps.append(leg.cut_cm - survey["thigh"][row])
    refused = [(row, faults) for row, faults in enumerate(drafts.faults) if faults]
    report = [
        f"{len(rows)} of {len(drafts)} drafted, {len(rows) / seconds:.0f} bodies a second",
        *(f"largest error of {name}: {value:.2e} cm" for name, value in worst.items()),
        f"outlines that cross themselves: {crossed}",
        "leg opening less thigh, 5/50/95 %: "
        + ", ".join(f"{gap:.1f}" for gap in np.percentile(gaps, [5, 50, 95])),
        f"refused: {len(refused)}",
        *(f"  row {row}: {'; '.join(faults)}" for row, faults in refused),
    ]
    print("\n" + "\n".join(report))
    assert worst["girth"] < 1e-6
    assert worst["loop"] < 1e-6
    assert worst["mates"] < 1e-9
    assert crossed == 0
    assert len(refused) < 0.01 * len(drafts)
    assert len(rows) / seconds > 300
