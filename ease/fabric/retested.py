"""What stays of a fabric whose hand test is taken again: all that was not read anew."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ease.fabric.profile import DIRECTIONS, ORIGINS, ClothDirection, Fabric

if TYPE_CHECKING:
    from collections.abc import Collection

    from ease.fabric.profile import DirectionName

__all__ = ["retested"]


def retested(
    new: Fabric, old: Fabric, loaded: Collection[DirectionName] = ()
) -> tuple[Fabric, str]:
    """Return a fabric with its new hand test and the rest as it was, and what that is.

    A direction that was not read again stays whole; of one that was its load test stays.
    Toiles stay, and what was said of the cloth where nothing is said now.

    Args:
        new: The fabric by its new hand test.
        old: The fabric as it was kept.
        loaded: Directions whose load test is taken again too, and does not stay.

    Returns:
        The fabric, and a note on what was kept; an empty one where there was nothing.

    Raises:
        RefusedError: If old and new figures cannot be of one cloth.
    """
    for name in loaded:
        old = _unloaded(old, name)
    across, along = (_direction(new.direction(n), old.direction(n)) for n in DIRECTIONS)
    kept = _kept(new, old, loaded)
    fabric = replace(
        new,
        title=old.title if new.title == new.name else new.title,
        # What is invented must not pass as measured because the rest of it is.
        origin=max(new.origin, old.origin, key=ORIGINS.index) if kept else new.origin,
        across=across,
        along=along,
        note=new.note or old.note,
        mass_gsm=old.mass_gsm if new.mass_gsm is None else new.mass_gsm,
        tested=new.tested | _tested(new, old),
        evidence=old.evidence,
    )
    if not kept:
        return fabric, ""
    return fabric, (
        f"{new.name}: these readings take the place of its hand test; kept beside them: "
        f"{', '.join(kept)}. If it is another cloth, save it under another name"
    )


def _unloaded(fabric: Fabric, name: DirectionName) -> Fabric:
    cloth = fabric.direction(name)
    bare = None if cloth is None else replace(cloth, tension=None, tension_scale=None)
    if name == "across":
        return replace(fabric, across=bare)
    return replace(fabric, along=bare)


def _direction(
    new: ClothDirection | None, old: ClothDirection | None
) -> ClothDirection | None:
    if new is None or old is None:
        return new or old
    return replace(new, tension=old.tension, tension_scale=old.tension_scale)


def _stay(new: Fabric, old: Fabric) -> list[DirectionName]:
    """Directions that were not read again."""
    return [n for n in DIRECTIONS if new.direction(n) is None and old.direction(n)]


def _loaded(new: Fabric, old: Fabric) -> list[DirectionName]:
    """Directions that were read again and have a load test."""
    return [
        name
        for name in DIRECTIONS
        if new.direction(name) is not None
        and (cloth := old.direction(name)) is not None
        and cloth.tension is not None
    ]


def _kept(new: Fabric, old: Fabric, loaded: Collection[DirectionName]) -> list[str]:
    """Say what stays, one phrase each; a load test that comes with it does not."""
    said = [
        f"{'the hand test' if name in loaded else 'all that was read'} {name}"
        for name in _stay(new, old)
    ]
    if tests := _loaded(new, old):
        said.append(f"the load test {' and '.join(tests)}")
    if count := len(old.evidence):
        said.append(f"{count} toile{'' if count == 1 else 's'}")
    return said


def _tested(new: Fabric, old: Fabric) -> dict[str, str]:
    """Return how that was tested which stays."""
    loads = {f"load_{name}" for name in (*_stay(new, old), *_loaded(new, old))}
    stay = tuple(_stay(new, old))
    begins = tuple(f"outlier_{name}_" for name in stay)
    return {
        key: said
        for key, said in old.tested.items()
        if key in loads or key in stay or key.startswith(begins)
    }
