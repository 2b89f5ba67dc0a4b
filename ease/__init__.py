"""Negative ease for stretch fabrics: measure a swatch, decide, and cut the block.

Inside, lengths are cm, loads N, tensions N per metre of relaxed cloth width, pressures
kPa, and ratios fractions. Strain is a share of the cut piece (body / cut - 1),
reduction a share of the body (1 - cut / body); negative ease is body minus cut,
positive where the piece is smaller. Blocks have x outwards from the centre line and y
downwards.

Stages, each importing only from those before it: ``errors``, ``nearest``, ``endings``
and ``demo``; ``unit_names``, ``units``; ``sentence``; ``cells``, ``lines``, ``read``,
``write``; ``table``; ``fabric``; ``body``; ``fit``; ``block``; ``files``; ``show``. The
command line stands on top. The names below load on first use, so that ``import ease``
stays cheap.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ease.block.adjust import adjust_block
    from ease.block.check import check_wear
    from ease.block.draft import draft_block
    from ease.block.pieces import Block
    from ease.block.plan import Factors
    from ease.block.refit import refit
    from ease.body.fill_in import complete
    from ease.body.load import load_body
    from ease.body.measures import Body
    from ease.errors import EaseError
    from ease.fabric.profile import Fabric
    from ease.fabric.readings import load_readings
    from ease.fabric.store import fabric_names, load_fabric, save_fabric
    from ease.fabric.swatch import summarise, to_fabric
    from ease.files.any_block import load_any_block
    from ease.files.block_toml import save_block
    from ease.fit.decide import Reduction, decide
    from ease.fit.membrane import Membrane
    from ease.fit.pressure import mean_pressure
    from ease.fit.reduction import (
        cut_girth,
        negative_ease,
        reduction_from_strain,
        strain_from_reduction,
    )
    from ease.fit.spread import spread_of

__version__ = "0.1.0"

_HOME = {
    "Block": "block.pieces",
    "Body": "body.measures",
    "EaseError": "errors",
    "Fabric": "fabric.profile",
    "Factors": "block.plan",
    "Membrane": "fit.membrane",
    "Reduction": "fit.decide",
    "adjust_block": "block.adjust",
    "check_wear": "block.check",
    "complete": "body.fill_in",
    "cut_girth": "fit.reduction",
    "decide": "fit.decide",
    "draft_block": "block.draft",
    "fabric_names": "fabric.store",
    "load_any_block": "files.any_block",
    "load_body": "body.load",
    "load_fabric": "fabric.store",
    "load_readings": "fabric.readings",
    "mean_pressure": "fit.pressure",
    "negative_ease": "fit.reduction",
    "reduction_from_strain": "fit.reduction",
    "refit": "block.refit",
    "save_block": "files.block_toml",
    "save_fabric": "fabric.store",
    "spread_of": "fit.spread",
    "strain_from_reduction": "fit.reduction",
    "summarise": "fabric.swatch",
    "to_fabric": "fabric.swatch",
}

__all__ = [
    "Block",
    "Body",
    "EaseError",
    "Fabric",
    "Factors",
    "Membrane",
    "Reduction",
    "adjust_block",
    "check_wear",
    "complete",
    "cut_girth",
    "decide",
    "draft_block",
    "fabric_names",
    "load_any_block",
    "load_body",
    "load_fabric",
    "load_readings",
    "mean_pressure",
    "negative_ease",
    "reduction_from_strain",
    "refit",
    "save_block",
    "save_fabric",
    "spread_of",
    "strain_from_reduction",
    "summarise",
    "to_fabric",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - the type of whatever is asked for
    """Load a public name from the module where it lives."""
    if name not in _HOME:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    """Return the public names."""
    return [*__all__, "__version__"]
