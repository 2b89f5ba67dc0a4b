"""A fabric of a hand test, beside what its name holds already."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

    from ease.fabric.profile import DirectionName, Fabric
    from ease.fabric.readings import ReadingFile
    from ease.fabric.swatch import SwatchSummary


def hand_fabric(
    summary: SwatchSummary,
    file: ReadingFile,
    name: str,
    title: str = "",
    loaded: Collection[DirectionName] = (),
) -> tuple[Fabric, list[str]]:
    """Return the fabric to be kept, and notes on what it keeps of one of that name.

    Args:
        summary: The hand test.
        file: Its readings.
        name: Name of the fabric.
        title: What its maker calls it; as it was called, where empty.
        loaded: Directions of a load test that is kept with it.
    """
    from ease.fabric.retested import retested
    from ease.fabric.store import own_fabric
    from ease.fabric.swatch import to_fabric

    source = file.measured_by or f"hand test, readings in {Path(file.source).name}"
    fabric = to_fabric(
        summary, name=name, title=title, source=source, origin=file.origin
    )
    if (old := own_fabric(name)) is None:
        return fabric, []
    fabric, kept = retested(fabric, old, loaded)
    return fabric, [kept] if kept else []
