"""Openings with their elastic, as tables and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ease.units import length_text, percent_text

from .tables import make_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.table import Table

    from ease.block.openings import Opening, OpeningSection
    from ease.block.passing import OpeningPass
    from ease.block.pieces import Block
    from ease.block.refit import Refit
    from ease.fit.aims import Allowed


LONGER = "* longer than usual, so that the elastic is not stretched too far."
NO_HOLD = "Longer than its edge, elastic holds nothing: take a stretchier one."


def opening_table(openings: Sequence[Opening], units: str) -> Table:
    """Return edges of a body-size block with their elastic, and where its ratio is from."""
    lines = []
    for opening in openings:
        lines += [
            [
                part.name,
                length_text(part.cut_cm, units),
                length_text(part.elastic_cm, units),
                _ratio(part),
                part.source,
            ]
            for part in opening.sections
        ]
        both = (opening.cut_cm, opening.elastic_cm)
        sizes = [length_text(length, units) for length in both]
        lines.append([f"{opening.name}, all round", *sizes, "", "with overlap"])
    heads = ["opening", f"edge ({units})", f"elastic ({units})", "%", "ratio from"]
    caption = _longer(openings)
    return make_table("Openings", heads, lines, text_columns=(0, 4), caption=caption)


def _longer(openings: Sequence[Opening]) -> str:
    """Explain the mark of elastic that is cut longer than usual, if there is any."""
    limited = [part for one in openings for part in one.sections if part.limited]
    if any(part.ratio > 1.0 for part in limited):
        return f"{LONGER} {NO_HOLD}"
    return LONGER if limited else ""


def _ratio(part: OpeningSection) -> str:
    """Elastic over edge, per cent, marked where the elastic itself set it."""
    return ("* " if part.limited else "") + percent_text(part.ratio, 0)


def worn_opening_caption(
    result: Refit,
    openings: Sequence[Opening],
    units: str,
    elastic_stretch: float,
    allowed: Allowed | None = None,
) -> str:
    """Return what the leg is worn on, and what neck and waist pass on the way on."""
    from ease.block.passing import opening_passes
    from ease.fit.aims import Allowed

    measures = {} if result.body is None else result.body.values
    said = ["Worn: at body size; a wider thigh stretches the leg further."]
    if not any(one.name.startswith("leg") for one in openings):
        said = ["Worn: at body size."]
    elif thigh := measures.get("thigh"):
        size = f"{length_text(thigh, units)} {units}"
        said = [f"Worn: at body size, the leg round a thigh of {size} or more."]
    if result.body is not None:
        ways = opening_passes(result.block, result.body, allowed or Allowed())
        passed = {way.name: way for way in ways if not way.name.startswith("leg")}
        said += [
            _on_the_way(one, passed[one.name], units, elastic_stretch)
            for one in openings
            if one.name in passed
        ]
    return " ".join(filter(None, said))


def elastic_notes(block: Block) -> list[str]:
    """Say which free edges have no elastic, and which share one for want of a side."""
    from ease.block.opening_names import EDGE_NAMES
    from ease.block.rings import other_openings, unsided_edges

    notes = []
    if unsided := unsided_edges(block):
        notes.append(
            f"{', '.join(unsided)} are of pieces cut once and count as one opening "
            "together: where each side has its own, name edge or piece left and right"
        )
    if others := other_openings(block):
        known = ", ".join(name for names in EDGE_NAMES.values() for name in names)
        notes.append(
            f"no elastic is worked out for {', '.join(others)}: only free edges called "
            f"{known} have one, with left or right behind it on a whole piece"
        )
    return notes


def _on_the_way(opening: Opening, way: OpeningPass, units: str, can: float) -> str:
    """Return how far an elastic stretches on the way on, and if that is too far.

    Of a neck only what is too far.
    """
    from ease.block.openings import OVERLAP_CM

    needs = opening.elastic_stretch_to_pass(way.girth_cm)
    said = (
        f"On the way over a {way.part} of {length_text(way.girth_cm, units)} {units} the "
        f"{opening.name} elastic stretches {percent_text(needs, 0)} %"
    )
    if needs <= can:
        return f"{said}." if opening.name == "waist" else ""
    bears = f"TOO FAR for one that bears {percent_text(can, 0)} %"
    if opening.name == "neck":
        return f"{said}: {bears}; plan an opening (--opens), or a larger neck."
    least = way.girth_cm / (1.0 + can)
    if least > opening.cut_cm:
        return (
            f"{said}: {bears}, and one cut longer than the edge holds nothing; take a "
            "stretchier one, or plan an opening or a wider waist."
        )
    long = length_text(least + OVERLAP_CM, units)
    return f"{said}: {bears}; take a stretchier one, or cut it {long} {units} long."


def worn_opening_table(
    openings: Sequence[Opening], units: str, told: str = ""
) -> Table:
    """Return edges of a cut block, cut and worn, with how far their elastic stretches."""
    lines = []
    for opening in openings:
        for part in opening.sections:
            sizes = (part.cut_cm, part.worn_cm, part.elastic_cm)
            lines.append(
                [
                    part.name,
                    *(length_text(size, units) for size in sizes),
                    _ratio(part),
                    percent_text(part.worn_stretch, 0),
                ]
            )
        sizes = (opening.cut_cm, opening.worn_cm, opening.elastic_cm)
        lengths = (length_text(size, units) for size in sizes)
        lines.append([f"{opening.name}, all round", *lengths, "", ""])
    said = "Worn (%): how far the elastic is stretched. All round: with overlap."
    said = f"{said} {told}".strip()
    return make_table(
        f"Openings of the adjusted block ({units})",
        ["opening", "edge", "worn", "elastic", "of edge (%)", "worn (%)"],
        lines,
        caption="\n".join(filter(None, (said, _longer(openings)))),
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
