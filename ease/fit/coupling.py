"""From a fabric's two strip tests to a coupled pair that obeys reciprocity."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError
from ease.fabric.profile import DIRECTIONS, DirectionName, Fabric
from ease.fit.strip import Strip

__all__ = ["couple", "strips_of"]

Floats = NDArray[np.float64]


def strips_of(
    fabric: Fabric, round_body: DirectionName | None, contraction: float | None
) -> tuple[Strip, Strip]:
    """Return the strips round and down the body; their ratios as measured.

    Args:
        fabric: A fabric with a load test in both directions.
        round_body: Cloth direction that goes round; the stretchier one if None.
        contraction: Ratio to assume round the body where none was measured.

    Raises:
        RefusedError: If a load test or every contraction ratio is missing.
    """
    lacking = [
        name
        for name in DIRECTIONS
        if (cloth := fabric.direction(name)) is None or cloth.tension is None
    ]
    if lacking:
        message = f"fabric {fabric.name}: no load test {' or '.join(lacking)}"
        hint = "tension and pressure need one each way; `ease load` adds it"
        raise RefusedError(message, hint=hint)
    around = round_body or fabric.round_body
    down: DirectionName = "along" if around == "across" else "across"
    girth = Strip.of(around, fabric.direction(around))
    length = Strip.of(down, fabric.direction(down))
    if girth.measured_ratio is None and length.measured_ratio is None:
        if contraction is None:
            message = f"fabric {fabric.name}: no contraction ratio was measured"
            hint = "measure the width of a strip before and at extension"
            raise RefusedError(message, hint=hint)
        girth = replace(girth, measured_ratio=np.asarray(float(contraction)))
    return girth, length


def couple(girth: Strip, length: Strip) -> tuple[Strip, Strip, Floats]:
    """Move the ratios to the nearest pair with reciprocity; return it with k, N/m.

    ``k = m sqrt(E_h E_v) / (1 - m^2)`` with ``m = sqrt(nu_h nu_v)``; one measured ratio
    gives the other by ``nu_h E_v = nu_v E_h``.

    Raises:
        RefusedError: If a ratio is below 0, or m is not below 1.
    """
    root = np.sqrt(girth.modulus / length.modulus)
    # Each ratio as the pair's own mean would have it; one alone stands for both.
    means = [
        ratio * scale
        for ratio, scale in (
            (girth.measured_ratio, 1 / root),
            (length.measured_ratio, root),
        )
        if ratio is not None
    ]
    if not all(((mean >= 0) & np.isfinite(mean)).all() for mean in means):
        message = "a contraction ratio must be 0 or more: a pulled strip gets narrower"
        raise RefusedError(message)
    m = np.sqrt(means[0] * means[-1])
    if not (m < 1).all():
        message = (
            "the contraction ratios are too large together: their geometric mean is "
            f"{float(np.max(m)):.2f} and must stay below 1"
        )
        hint = "measure the widths and the loads of both strips again"
        raise RefusedError(message, hint=hint)
    coupling = m * np.sqrt(girth.modulus * length.modulus) / (1 - m**2)
    return (
        replace(girth, ratio=np.asarray(m * root)),
        replace(length, ratio=np.asarray(m / root)),
        np.asarray(coupling),
    )
