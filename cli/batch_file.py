"""The result file of a batch, with all the settings that its rows depend on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from ease.body.table_head import TableHead
    from ease.files.batch_file import ResultFile
    from ease.files.batch_table import BatchTable

    from .loading import Wanted


def open_result(
    out: Path,
    head: TableHead,
    table: BatchTable,
    wanted: Wanted,
    *,
    resume: bool,
    force: bool,
) -> ResultFile:
    """Begin a result file, or take one up where it stopped."""
    from ease.files.batch_file import ResultFile
    from ease.files.batch_table import table_header

    header = table_header(table.units)
    settings = batch_settings(head, table, wanted)
    if resume and out.exists():
        last = table.cloths[-1].fabric.name
        return ResultFile.resume(out, header, settings, last)
    return ResultFile.begin(out, header, settings, force=force)


def batch_settings(
    head: TableHead, table: BatchTable, wanted: Wanted
) -> dict[str, Any]:
    """Return all that the rows depend on, inputs by their SHA-256."""
    import hashlib
    from dataclasses import asdict

    from ease import __version__
    from ease.fabric.store import fabric_to_toml

    with head.path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    aim = asdict(wanted.aim)
    fabrics = [
        hashlib.sha256(fabric_to_toml(cloth.fabric).encode()).hexdigest()
        for cloth in table.cloths
    ]
    return {
        "ease": __version__,
        "bodies": head.path.name,
        "bodies_sha256": digest,
        "units_in": sorted(f"{key} {unit}" for key, unit in head.units.items()),
        "fabrics": [cloth.fabric.name for cloth in table.cloths],
        "fabrics_sha256": fabrics,
        "round_body": [cloth.round_body for cloth in table.cloths],
        "hold": aim.pop("name"),
        **aim,
        **asdict(wanted.allowed),
        "units": table.units,
        "decimals": "all" if table.decimals is None else table.decimals,
    }
