"""Negative ease for stretch fabrics: measure a swatch, decide, and cut the block.

Inside, lengths are cm, loads N, tensions N per metre of relaxed cloth width, pressures
kPa, and ratios fractions. Strain is a share of the cut piece (body / cut - 1), reduction
a share of the body (1 - cut / body); negative ease is body minus cut, positive where the
piece is smaller. Blocks have x outwards from the centre line and y downwards.

Stages, each importing only from those above it: ``errors``, ``units``, ``table``,
``fabric``, ``body``, ``fit``, ``block``, ``files``, ``show``; the command line stands on
top. Public names load on first use, so that ``import ease`` stays cheap.
"""

from __future__ import annotations

__version__ = "0.1.0"
