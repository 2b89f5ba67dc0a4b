"""What a file's ending says, and whether a name means a file or something shipped."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Final

__all__ = ["TABLES", "file_kind", "names_file"]

#: Endings of tables as spreadsheets write them.
TABLES: Final = ("csv", "tsv", "txt")


def file_kind(path: Path) -> str:
    """Return the ending of a file's name in small letters, without its dot.

    Examples:
        >>> file_kind(Path("BODY.TOML")), file_kind(Path("body"))
        ('toml', '')
    """
    return path.suffix.lower().removeprefix(".")


def names_file(name_or_path: str | Path, kinds: Collection[str]) -> bool:
    """Return whether a file is meant, and not the name of something that is known.

    A ``Path`` always means a file; a text does where it has a folder in it, or an ending
    that such files have.

    Args:
        name_or_path: As it was given.
        kinds: Endings of such files, as :func:`file_kind` returns them.

    Examples:
        >>> [names_file(name, ["toml"]) for name in ("rib", "./rib", "RIB.TOML")]
        [False, True, True]
    """
    if isinstance(name_or_path, Path):
        return True
    path = Path(name_or_path)
    return path.name != name_or_path or file_kind(path) in kinds
