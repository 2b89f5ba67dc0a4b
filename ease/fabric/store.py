"""Where fabrics are kept: the profiles shipped with the package, and the user's own."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from ease.endings import file_kind, names_file
from ease.errors import ProfileError, UsageError, WriteError
from ease.fabric.profile import Fabric
from ease.fabric.profile_text import fabric_to_toml
from ease.fabric.profile_toml import fabric_from_table
from ease.nearest import nearest_text
from ease.read import read_toml
from ease.write import write_text

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "check_name",
    "check_save",
    "fabric_file",
    "fabric_names",
    "fabric_to_toml",
    "hiding_notes",
    "load_fabric",
    "own_fabric",
    "own_folder",
    "profile_folder",
    "readable_fabrics",
    "save_fabric",
]

_PACKAGE: Final = Path(__file__).resolve().parent.parent
_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
# Names that some file systems keep for devices.
_RESERVED = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]")


def profile_folder() -> Path:
    """Return the folder of the fabric profiles shipped with the package.

    Raises:
        ProfileError: If the folder was not installed.
    """
    # Installed inside the package, but beside it in a checkout.
    for folder in (_PACKAGE / "fabric_profiles", _PACKAGE.parent / "fabric_profiles"):
        if folder.is_dir():
            return folder
    raise ProfileError("fabric_profiles", "the folder was not installed")


def own_folder() -> Path:
    """Return the folder of the user's own fabrics; it need not exist yet.

    The environment variable ``EASE_HOME`` moves it.

    Raises:
        UsageError: If the system knows no home folder, and ``EASE_HOME`` is not set.
    """
    home = os.environ.get("EASE_HOME")
    try:
        if home:
            return Path(home).expanduser() / "fabrics"
        import platformdirs

        folder = Path(platformdirs.user_data_dir("block-ease"))
    except RuntimeError:  # no such user as in ~name
        folder = Path()
    if not folder.is_absolute():
        message = "the system does not say where your own files lie"
        raise UsageError(message, hint="set EASE_HOME to a folder for own fabrics")
    return folder / "fabrics"


def check_name(name: str) -> str:
    """Return a fabric's name if it can be a file name everywhere.

    Raises:
        UsageError: If it holds more than small letters, digits and single hyphens.
    """
    if not _NAME.fullmatch(name) or len(name) > 60 or _RESERVED.fullmatch(name):
        message = (
            f"{name!r} cannot name a fabric; use small letters, digits and hyphens, "
            "such as soft-tricot"
        )
        raise UsageError(message)
    return name


def _files() -> dict[str, Path]:
    """Return name and file of every known fabric; an own one hides a shipped one."""
    folders = [profile_folder()]
    with suppress(UsageError):  # without a home there are no own fabrics
        folders.append(own_folder())
    found: dict[str, Path] = {}
    for folder in folders:
        with suppress(OSError):  # not to be entered, or no name that a folder can have
            if folder.is_dir():
                files = sorted(folder.iterdir())
                found |= {
                    path.stem: path for path in files if file_kind(path) == "toml"
                }
    return dict(sorted(found.items()))


def _shipped(name: str) -> bool:
    return (profile_folder() / f"{name}.toml").is_file()


def hiding_notes(names: Iterable[str]) -> tuple[str, ...]:
    """Return a note on each name under which an own fabric hides a shipped one.

    Args:
        names: Fabrics as they were asked for; files, which hide nothing, are passed over.
    """
    files = _files()
    return tuple(
        f"your own {name} is used, in place of the shipped one"
        for name in dict.fromkeys(names)
        if name in files and files[name].parent != profile_folder() and _shipped(name)
    )


def fabric_file(name_or_path: str | Path) -> Path:
    """Return the profile file of a known fabric, or the file that is named.

    Args:
        name_or_path: See :func:`load_fabric`.

    Raises:
        ProfileError: If no fabric has that name.
    """
    if names_file(name_or_path, ("toml",)):
        return Path(name_or_path)
    name, files = str(name_or_path), _files()
    if name in files:
        return files[name]
    known = nearest_text(name, files) or f"; known are {', '.join(files)}"
    raise ProfileError(name, f"no fabric has that name{known}")


def fabric_names() -> tuple[str, ...]:
    """Return the names of every fabric that can be loaded by name, sorted."""
    return tuple(_files())


def readable_fabrics() -> tuple[tuple[Fabric, ...], tuple[str, ...]]:
    """Return every fabric that can be used, and a note on each that cannot.

    One broken profile must not hide the others. A note also names each own fabric that
    hides a shipped one.
    """
    files = _files()
    fabrics, notes = [], list(hiding_notes(files))
    for path in files.values():
        try:
            fabrics.append(_load(path))
        except ProfileError as error:
            notes.append(f"left out: {error}")
    return tuple(fabrics), tuple(notes)


def _load(path: Path) -> Fabric:
    return fabric_from_table(read_toml(path, ProfileError), str(path))


def load_fabric(name_or_path: str | Path) -> Fabric:
    """Return a fabric by the name of a known one, or from a profile file.

    Args:
        name_or_path: A name such as ``soft-tricot``; or a path, which is a text with a
            folder or the ending ``.toml`` in it, and any ``Path``.

    Raises:
        ProfileError: If no fabric has that name, or the profile is wrong.
    """
    return _load(fabric_file(name_or_path))


def own_fabric(name: str) -> Fabric | None:
    """Return the user's own fabric of a name; None without one that can be read.

    Raises:
        UsageError: If the name cannot be a file name.
    """
    path = own_folder() / f"{check_name(name)}.toml"
    with suppress(ProfileError):
        return _load(path)
    return None


def check_save(name: str, *, force: bool = False) -> Path:
    """Return the file that a fabric would be kept in, before work is done.

    Raises:
        UsageError: If the name cannot be a file name.
        WriteError: If a fabric of that name, own or shipped, is there and ``force`` is
            not set.
    """
    path = own_folder() / f"{check_name(name)}.toml"
    try:
        taken = path.exists()
    except OSError as error:
        message = f"{path}: cannot be written ({error.strerror or error})"
        raise WriteError(message) from error
    if taken and not force:
        message = f"{path}: exists already"
        hint = "choose another name, or add --force to replace it"
        raise WriteError(message, hint=hint)
    if not force and _shipped(name):
        message = f"{name} is the name of a shipped fabric"
        hint = "choose another name, or add --force to use yours in its place"
        raise WriteError(message, hint=hint)
    return path


def save_fabric(fabric: Fabric, *, force: bool = False) -> Path:
    """Write a fabric into the user's own folder and return the file.

    Args:
        fabric: The fabric; its name becomes the file's name.
        force: Whether an own fabric of that name may be replaced, or a shipped one hidden.

    Raises:
        UsageError: If the name cannot be a file name.
        WriteError: If it cannot be written, or the name is taken and ``force`` is not
            set.
    """
    path = check_save(fabric.name, force=force)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        message = f"{path.parent}: cannot be made ({error.strerror or error})"
        raise WriteError(message) from error
    write_text(path, fabric_to_toml(fabric), force=force)
    return path
