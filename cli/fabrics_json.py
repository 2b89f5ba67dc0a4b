"""The JSON of a fabric; ratios are fractions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .fabrics import FIGURES, SHOWN_STRAINS, cloths_of, power_at

if TYPE_CHECKING:
    from ease.fabric.evidence import Evidence
    from ease.fabric.profile import ClothDirection, Fabric


def fabric_json(fabric: Fabric) -> dict[str, Any]:
    """Return the JSON body of a fabric; ratios are fractions."""
    return {
        "name": fabric.name,
        "title": fabric.title,
        "origin": fabric.origin,
        "source": fabric.source,
        "note": fabric.note,
        "mass_g_per_m2": fabric.mass_gsm,
        "round_body": fabric.round_body,
        "directions": {way: _cloth_json(cloth) for way, cloth in cloths_of(fabric)},
        "evidence": [_evidence_json(one) for one in fabric.evidence],
    }


def _evidence_json(evidence: Evidence) -> dict[str, Any]:
    ratios = {"across": evidence.across, "along": evidence.along}
    return {
        "date": evidence.day.isoformat(),
        "kind": evidence.kind,
        "block": evidence.block,
        **{
            way: None
            if one is None
            else {"ratio": one.ratio, "sd": one.sd, "n": one.n, "clear": one.clear}
            for way, one in ratios.items()
        },
    }


def _cloth_json(cloth: ClothDirection) -> dict[str, Any]:
    figures = {key: getattr(cloth, key) for key in FIGURES}
    return {
        **{
            key: None
            if figure is None
            else {"mean": figure.mean, "sd": figure.sd, "n": figure.n}
            for key, figure in figures.items()
        },
        "rest_minutes": cloth.rest_minutes,
        "tension_n_per_m": {
            f"strain_{100 * strain:.0f}_pct": power_at(cloth, strain)
            for strain in SHOWN_STRAINS
        },
    }
