"""Bodies that come with the project: one invented, the rest from size tables."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from ease.body.measures import Body
from ease.errors import BodyError

__all__ = ["shipped_body", "shipped_names", "shipped_tables"]


def shipped_names() -> tuple[str, ...]:
    """Return the names of every shipped body, the invented one first."""
    return ("demo", *_table_bodies())


def shipped_body(name: str) -> Body:
    """Return a shipped body by name.

    Raises:
        BodyError: If there is none of that name.
    """
    if name == "demo":
        data = tomllib.loads((files("ease.demo") / "body.toml").read_text("utf-8"))
        return Body(
            name=data["name"],
            title=data["title"],
            origin="invented",
            source=data["source"],
            values=data["body"],
        )
    bodies = _table_bodies()
    if name not in bodies:
        raise BodyError(name, "no shipped body has that name")
    return bodies[name]


@cache
def shipped_tables() -> dict[str, tuple[Body, ...]]:
    """Return the bodies of each size table, smallest first.

    A table with several heights is there once for each: ``en``, ``en-short``.
    """
    text = (files("ease.body") / "size_tables.toml").read_text("utf-8")
    tables: dict[str, tuple[Body, ...]] = {}
    for table in tomllib.loads(text)["table"]:
        tables |= _rows(table)
    return tables


def _table_bodies() -> dict[str, Body]:
    return {body.name: body for table in shipped_tables().values() for body in table}


def _rows(table: dict[str, Any]) -> dict[str, tuple[Body, ...]]:
    """Return a body for each size, and for each height where the table has several."""
    columns: dict[str, list[float]] = table["columns"]
    tables = {}
    for variant, stature in table.get("heights", {"": None}).items():
        made = []
        for index, size in enumerate(table["sizes"]):
            values = {key: float(column[index]) for key, column in columns.items()}
            if stature is not None:
                values["stature"] = float(stature)
            tail = f"-{variant}" if variant not in ("", "regular") else ""
            tall = f", {variant} ({stature:g} cm)" if stature is not None else ""
            made.append(
                Body(
                    name=f"{table['name']}-{size}{tail}",
                    title=f"{table['title']}, {table['size_word']} {size}{tall}",
                    origin="published",
                    source=table["source"],
                    values=values,
                    notes=(table["note"],),
                )
            )
        name = f"{table['name']}-{variant}"
        plain = variant in ("", "regular")
        tables[table["name"] if plain else name] = tuple(made)
    return tables
