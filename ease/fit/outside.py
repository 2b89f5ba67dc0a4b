"""Refuse, or blank, answers past the load test or where a cloth gives way."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.errors import RefusedError, TensionRangeError
from ease.fabric.branch import END_STRAIN, Outside

__all__ = ["SAME_STRAIN", "kept"]

# A block cut to a limit lies on it but for held edges, truing and the digits of a file.
SAME_STRAIN: Final = END_STRAIN

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def kept(
    strains: tuple[Floats, Floats],
    tops: tuple[Floats, Floats],
    convex: Bools,
    values: tuple[Floats, ...],
    outside: Outside,
) -> tuple[Floats, ...]:
    """Return values where they stand; refuse or give NaN where they do not.

    What lies past the load test by ``SAME_STRAIN`` at most counts as its end: the curves
    run on straight so far.

    Args:
        strains: Strains round and down the body.
        tops: Strains at which the load tests stopped, round and down.
        convex: Where the answer is the only one near.
        values: The answers.
        outside: ``raise`` to refuse with the first offending strain, ``nan`` to blank.

    Raises:
        TensionRangeError: If a strain lies past the load test.
        RefusedError: If the cloth gives way there.
    """
    eh, ev = strains
    near = eh - tops[0] <= SAME_STRAIN, ev - tops[1] <= SAME_STRAIN
    tested = near[0] & near[1] & (eh > -1) & (ev > -1)
    good = tested & convex
    if good.all():
        return values
    if outside == "raise":
        raise _refusal(strains, tops, tested, good)
    return tuple(np.where(good, value, np.nan) for value in values)


def _refusal(
    strains: tuple[Floats, Floats],
    tops: tuple[Floats, Floats],
    tested: Bools,
    good: Bools,
) -> RefusedError:
    """Return the error for the first answer that does not stand."""
    columns = [
        np.broadcast_to(value, good.shape) for value in (*strains, *tops, tested)
    ]
    first = np.unravel_index(int(np.argmin(good)), good.shape)
    eh, ev, top_h, top_v, inside = (float(column[first]) for column in columns)
    at = f"{100 * eh:.1f} % round and {100 * ev:.1f} % down the body"
    if inside:
        message = f"at {at} the cloth gives way: its tension has no single answer there"
        return RefusedError(message)
    if np.isnan(eh) or np.isnan(ev):
        at = "a pull that no tested strain carries"
    message = (
        f"{at} lies outside the load tests, which went to {100 * top_h:.1f} % round "
        f"and {100 * top_v:.1f} % down"
    )
    return TensionRangeError(message)
