"""Openings with their elastic, as tables and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .tables import make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.block.openings import Opening


def opening_table(openings: Sequence[Opening], units: str) -> Table:
    """Return edges of a body-size block with their elastic, and where its ratio is from."""
    from ease.units import length_text, percent_text

    lines = []
    for opening in openings:
        lines += [
            [
                part.name,
                length_text(part.cut_cm, units),
                length_text(part.elastic_cm, units),
                percent_text(part.ratio, 0),
                part.source,
            ]
            for part in opening.sections
        ]
        both = (opening.cut_cm, opening.elastic_cm)
        sizes = [length_text(length, units) for length in both]
        lines.append([f"{opening.name}, all round", *sizes, "", "with overlap"])
    heads = ["opening", f"edge ({units})", f"elastic ({units})", "%", "ratio from"]
    return make_table("Openings", heads, lines, text_columns=(0, 4))


def worn_opening_table(openings: Sequence[Opening], units: str) -> Table:
    """Return edges of a cut block, cut and worn, with how far their elastic stretches."""
    from ease.units import length_text, percent_text

    lines = []
    for opening in openings:
        for part in opening.sections:
            sizes = (part.cut_cm, part.worn_cm, part.elastic_cm)
            shares = (part.ratio, part.worn_stretch)
            lines.append(
                [
                    part.name,
                    *(length_text(size, units) for size in sizes),
                    *(percent_text(share, 0) for share in shares),
                ]
            )
        sizes = (opening.cut_cm, opening.worn_cm, opening.elastic_cm)
        lengths = (length_text(size, units) for size in sizes)
        lines.append([f"{opening.name}, all round", *lengths, "", ""])
    return make_table(
        f"Openings of the adjusted block ({units})",
        ["opening", "edge", "worn", "elastic", "of edge (%)", "worn (%)"],
        lines,
        caption="Worn (%): how far the elastic is stretched. All round: with overlap.",
    )


def openings_json(openings: Sequence[Opening]) -> list[dict[str, Any]]:
    """Return openings as JSON: edge, length at body size, elastic."""
    from dataclasses import asdict

    return [
        {
            "name": opening.name,
            "edge_cm": opening.cut_cm,
            "worn_cm": opening.worn_cm,
            "elastic_with_overlap_cm": opening.elastic_cm,
            "sections": [
                {
                    **asdict(part),
                    "elastic_cm": part.elastic_cm,
                    "worn_stretch": part.worn_stretch,
                }
                for part in opening.sections
            ],
        }
        for opening in openings
    ]
