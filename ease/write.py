"""Write a file whole or not at all, and never over another one unasked."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from ease.errors import WriteError

__all__ = ["check_writable", "write_bytes", "write_text"]


def check_writable(path: Path, *, force: bool = False) -> None:
    """Refuse a path that cannot or must not be written, before work is done.

    Args:
        path: The file to be written.
        force: Whether an existing file may be replaced.

    Raises:
        WriteError: If the folder is missing or a file of that name is in the way.
    """
    try:
        is_folder, has_folder, exists = (
            path.is_dir(),
            path.parent.is_dir(),
            path.exists(),
        )
    except (OSError, ValueError) as error:  # too long a name, a locked folder, a NUL
        message = (
            f"{path}: cannot be written ({getattr(error, 'strerror', '') or error})"
        )
        raise WriteError(message) from error
    if is_folder:
        message = f"{path}: is a folder; name a file"
        raise WriteError(message)
    if not has_folder:
        message = f"{path}: the folder {path.parent} does not exist"
        raise WriteError(message)
    if exists and not force:
        raise _in_the_way(path)


def _in_the_way(path: Path) -> WriteError:
    message = f"{path}: exists already"
    return WriteError(message, hint="add --force to replace it, or name another file")


def write_bytes(path: Path, data: bytes, *, force: bool = False) -> None:
    """Write bytes under a temporary name beside the target, then rename.

    Args:
        path: The file to be written.
        data: Its content.
        force: Whether an existing file may be replaced.

    Raises:
        WriteError: If it cannot be written; an older file is then untouched.
    """
    check_writable(path, force=force)
    temporary: str | None = None
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".ease-")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
        Path(temporary).chmod(mode)
        _put_in_place(Path(temporary), path, force=force)
    except WriteError:
        raise
    except OSError as error:
        message = f"{path}: cannot be written ({error.strerror or error})"
        raise WriteError(message) from error
    finally:
        if temporary is not None:
            with suppress(OSError):
                Path(temporary).unlink()


def write_text(path: Path, text: str, *, force: bool = False) -> None:
    """Write text as UTF-8; see :func:`write_bytes`."""
    write_bytes(path, text.encode("utf-8"), force=force)


def _put_in_place(temporary: Path, path: Path, *, force: bool) -> None:
    """Give a finished file its name; without force never over another one.

    Between the check and now another run may have written it. A hard link fails where
    the name is taken, which a rename does not.
    """
    if force:
        temporary.replace(path)
        return
    try:
        path.hardlink_to(temporary)
    except FileExistsError:
        raise _in_the_way(path) from None
    except OSError:
        # A file system without hard links: look once more, then rename.
        check_writable(path)
        temporary.replace(path)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
