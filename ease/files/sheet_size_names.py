"""Where each size of a nested piece is named: in its line, where there is room. In mm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ease.block.curves import evaluate
from ease.block.pieces import Block, Edge
from ease.files.sheet_paper import SheetOptions
from ease.files.sheet_pieces import PrintPiece

__all__ = ["size_names"]

FloatArray = NDArray[np.float64]
_APART_MM: Final = 2.4  # lines this near leave no room for a name in one of them
_LONG_MM: Final = 150.0  # an edge that is named more than once, at these shares
_LONG_AT: Final = (0.2, 0.35, 0.65, 0.8)
_NOTCH_MM: Final = 5.0  # a name keeps this far from a notch


def size_names(
    blocks: Sequence[Block],
    pieces: Sequence[PrintPiece],
    shifts: Sequence[FloatArray],
    options: SheetOptions,
) -> FloatArray:
    """Return where the sizes of a piece are named, shape (sizes, places, 2, 2)."""
    count = len(blocks)
    own = blocks[-1].piece(pieces[-1].name)
    shares = [
        (place, share)
        for place, edge in enumerate(own.edges)
        if not own.is_fold(edge)
        for share in (_LONG_AT if _is_long(edge) else (0.5,))
    ]

    def at(wanted: Sequence[Sequence[tuple[int, float]]]) -> FloatArray:
        return np.array(
            [
                _on_cut_line(block, piece, shift, places, options)
                for block, piece, shift, places in zip(
                    blocks, pieces, shifts, wanted, strict=True
                )
            ]
        )

    names = at([shares] * count)
    gaps = np.where(_clear_of_notches(names, pieces), _gaps(names), 0.0)
    if (gaps >= _APART_MM).any():
        return np.asarray(names[:, gaps >= _APART_MM])
    # Too near each other everywhere: one below the other along the widest gap's edge.
    edge = shares[int(gaps.argmax())][0]
    return at([[(edge, (row + 1) / (count + 1))] for row in range(count)])


def _is_long(edge: Edge) -> bool:
    return 10 * float(np.hypot(*(edge.last - edge.first))) > _LONG_MM


def _clear_of_notches(
    names: FloatArray, pieces: Sequence[PrintPiece]
) -> NDArray[np.bool_]:
    """Return which places lie apart from the notches in every size, shape (places,)."""
    clear = np.ones(names.shape[1], dtype=bool)
    for at, piece in zip(names[:, :, 0], pieces, strict=True):
        away = at[:, None] - piece.notches.reshape(-1, 2)
        clear &= np.hypot(away[..., 0], away[..., 1]).min(axis=1, initial=np.inf) > (
            _NOTCH_MM
        )
    return clear


def _gaps(names: FloatArray) -> FloatArray:
    """Return how near the lines of neighbouring sizes come at each place, mm."""
    if len(names) < 2:
        return np.full(names.shape[1], np.inf)
    step = np.diff(names[:, :, 0], axis=0)
    along = names[1:, :, 1] - names[1:, :, 0]
    across = along[..., 0] * step[..., 1] - along[..., 1] * step[..., 0]
    return np.asarray(np.abs(across).min(axis=0))


def _on_cut_line(
    block: Block,
    piece: PrintPiece,
    shift: FloatArray,
    places: Sequence[tuple[int, float]],
    options: SheetOptions,
) -> FloatArray:
    """Return places on a cut line and 1 mm further along it, shape (places, 2, 2)."""
    edges = block.piece(piece.name).edges
    net = np.array([_along_edge(edges[edge].control, share) for edge, share in places])
    net = net * 10
    if options.grain == "across":
        net = net @ np.array([[0.0, -1.0], [1.0, 0.0]])
    net = net + shift
    # With an allowance the line to cut lies beside the net line.
    line = (
        np.concatenate([piece.cut, piece.cut[:1]]) if piece.fold is None else piece.cut
    )
    first, leg = line[:-1], np.diff(line, axis=0)
    long = np.maximum((leg**2).sum(axis=1), 1e-12)
    share = ((net[:, None] - first) * leg).sum(axis=-1) / long
    near = first + np.clip(share, 0.0, 1.0)[..., None] * leg
    best = np.hypot(*(near - net[:, None]).transpose(2, 0, 1)).argmin(axis=1)
    at = near[np.arange(len(net)), best]
    return np.stack([at, at + leg[best] / np.sqrt(long[best])[:, None]], axis=1)


def _along_edge(control: FloatArray, share: float) -> FloatArray:
    """Return the place at a share of an edge, by its cubics."""
    whole, rest = divmod(share * len(control), 1.0)
    return evaluate(control[int(whole)], rest)
