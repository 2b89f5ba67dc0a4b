"""The settings that the rows of a batch depend on, and what of them has changed.

They stand beside ``result.csv`` as ``result.csv.toml``, so that rows made with others
are never mixed in.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, fields
from pathlib import Path
from textwrap import wrap
from typing import Any, Final

from ease import __version__
from ease.body.table_head import TableHead
from ease.errors import UsageError
from ease.fabric.store import fabric_to_toml
from ease.files.batch_table import BatchTable
from ease.fit.aims import Aim
from ease.fit.notes import LOOP_TO_CUT, WARNINGS

__all__ = [
    "REMARKS",
    "SCHEMA",
    "Settings",
    "batch_settings",
    "check_settings",
    "settings_path",
    "settings_toml",
]

SCHEMA: Final = "ease/batch/2"
Settings = Mapping[str, object]
"""Texts, numbers, flags and lists of texts by name."""

REMARKS: Final = (
    *wrap(f"In the rows beside this file {LOOP_TO_CUT}.", 86),
    "What their warnings mean:",
    *(f"  {name}: {meaning}" for name, meaning in WARNINGS.items()),
)
"""What a reader of the rows should know of their columns."""

_ANEW: Final = "begin it anew: --force instead of --resume"
_AIM: Final = tuple(item.name for item in fields(Aim) if item.name != "name")
_TITLES: Final = {
    "units": "units of the result",
    "units_in": "unit of the columns",
    "round_body": "round the body",
    "over_head": "over head",
    "opens": "with an opening",
}
_TOLD_APART: Final = ("schema", "ease", "bodies", "bodies_sha256", "fabrics_sha256")


def settings_path(path: Path) -> Path:
    """Return the file that holds the settings of a result file."""
    return path.with_name(path.name + ".toml")


def batch_settings(head: TableHead, table: BatchTable) -> dict[str, Any]:
    """Return all that the rows depend on, inputs by their SHA-256."""
    with head.path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    aim, allowed = asdict(table.aim), asdict(table.allowed)
    for name in ("hangs", "passing", "held_at"):
        del allowed[name]  # a row is always of a one-piece
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
        **allowed,
        "units": table.units,
        "decimals": "all" if table.decimals is None else table.decimals,
    }


def settings_toml(settings: Settings) -> bytes:
    """Return settings as TOML; a JSON string, number or list of strings is also TOML."""
    rows = {"schema": SCHEMA, **settings}
    text = "".join(f"# {remark}\n" for remark in REMARKS)
    text += "".join(
        f"{key} = {json.dumps(value, ensure_ascii=False)}\n"
        for key, value in rows.items()
    )
    return text.encode()


def check_settings(path: Path, settings: Settings) -> None:
    """Refuse a result file that was begun with other settings, naming what changed.

    Raises:
        UsageError: If they differ, or those of the file cannot be read.
    """
    beside = settings_path(path)
    try:
        found = tomllib.loads(beside.read_text(encoding="utf-8"))
    except FileNotFoundError:
        message = f"{path}: cannot go on without its settings, {beside.name}"
        raise UsageError(message, hint=_ANEW) from None
    except (OSError, ValueError, RecursionError) as error:
        message = f"{beside}: cannot be read ({error})"
        raise UsageError(message, hint=_ANEW) from error
    # Through TOML and back, as the other side came.
    wanted = tomllib.loads(settings_toml(settings).decode())
    lines = [
        *_files_changed(path, found, wanted),
        *_numbers_changed(path, found, wanted),
    ]
    if lines:
        raise UsageError(
            "\n".join(lines), hint=f"give what it was begun with; or {_ANEW}"
        )


def _files_changed(path: Path, found: Settings, wanted: Settings) -> Iterator[str]:
    """Tell which files are not those that a result was begun with."""

    def same(*keys: str) -> bool:
        return all(found.get(key) == wanted.get(key) for key in keys)

    since = f"since {path} was begun"
    if not same("schema", "ease"):
        yield f"{path} was begun by another version of ease"
    if not same("bodies_sha256"):
        if same("bodies"):
            yield f"{_text('bodies', wanted)} has changed {since}"
        else:
            yield (
                f"{path} was begun with the bodies of {_text('bodies', found)}, not "
                f"with those of {_text('bodies', wanted)}"
            )
    if same("fabrics"):
        names, old, new = (
            _items(settings.get(key))
            for settings, key in (
                (wanted, "fabrics"),
                (found, "fabrics_sha256"),
                (wanted, "fabrics_sha256"),
            )
        )
        old += [""] * (len(new) - len(old))
        for name, before, now in zip(names, old, new, strict=False):
            if before != now:
                yield f"fabric {name} has changed {since}"


def _numbers_changed(path: Path, found: Settings, wanted: Settings) -> Iterator[str]:
    """Tell in one line which settings are others, old and new."""
    skipped = {*_TOLD_APART, *_follows(found, wanted)}
    changes = [
        " ".join((_TITLES.get(key, key), _text(key, found), "->", _text(key, wanted)))
        for key in dict.fromkeys([*wanted, *found])
        if key not in skipped and found.get(key) != wanted.get(key)
    ]
    if changes:
        yield f"{path} was begun with other settings: {'; '.join(changes)}"


def _follows(found: Settings, wanted: Settings) -> Iterable[str]:
    """Return the settings whose change follows from that of another one."""
    old, new = (_text("hold", one).partition(",")[0] for one in (found, wanted))
    # A hold brings its own numbers; of one hold the numbers alone say what was changed.
    yield from _AIM if old != new else ("hold",)
    if found.get("fabrics") != wanted.get("fabrics"):
        yield "round_body"


def _items(value: object) -> list[str]:
    return [str(item) for item in value] if isinstance(value, list) else []


def _text(key: str, settings: Settings) -> str:
    """Return a setting for a message."""
    value = settings.get(key)
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.12g}"
    if not isinstance(value, list):
        return str(value)
    items = _items(value)
    if key == "units_in":  # of every column; the units alone are short
        items = sorted({item.rpartition(" ")[2] for item in items})
    return ", ".join(items)
