"""What ``ease compare`` shows: fabrics in columns, and what a block needs."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Final

from ease.units import length_text, percent_text

from .fabrics import power_at
from .tables import WIDTH, folded, inch_note, make_table

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rich.table import Table

    from ease.block.compare import Comparison, Suited
    from ease.block.suiting import Having, Suiting
    from ease.fabric.profile import ClothDirection
    from ease.fit.aims import Aim
    from ease.fit.decide import Decision, Reduction

NAME_WIDTH = 11
AS_IT_IS = "as it is"
_FIGURES = {
    "stretch": ("stretch (%)", 0),
    "growth": ("growth (%)", 1),
    "wet_growth": ("wet growth (%)", 1),
    "recovery": ("recovery (%)", 1),
    "contraction": ("contraction (%)", 0),
}
_STRAINS = (0.2, 0.4)


def compare_parts(compared: Comparison, units: str) -> list[Table | str]:
    """Return the cloths, what is decided for them, and the sizes of the block."""
    parts: list[Table | str] = [_cloth_table(compared)]
    if compared.body is not None:
        parts.append(_fit_table(compared))
    if compared.size_names:
        first = compared.suited[0].fabric.name
        parts.append(_size_table(compared, units))
        parts.append(f"In brackets: what changes when {first} is swapped for it.")
    return parts


def _columns(compared: Comparison) -> tuple[str, ...]:
    return ("", *(_stacked(one.fabric.name) for one in compared.suited))


def _stacked(name: str) -> str:
    """Break a fabric's name into lines that leave room for four columns."""
    return "\n".join(wrap(name, NAME_WIDTH, break_on_hyphens=True))


def _cloth_table(compared: Comparison) -> Table:
    cloths = [_directions(one) for one in compared.suited]
    rows = [
        ("origin", *(one.fabric.origin for one in compared.suited)),
        ("goes round", *(one.round_body for one in compared.suited)),
    ]
    for key, (label, digits) in _FIGURES.items():
        rows.append((label, *(_pair(pair, _mean(key, digits)) for pair in cloths)))
    for strain in _STRAINS:
        label = f"N/m at {percent_text(strain, 0)} %"
        rows.append((label, *(_pair(pair, _power(strain)) for pair in cloths)))
    return make_table("Cloth: round / down the body", _columns(compared), rows)


def _directions(one: Suited) -> tuple[ClothDirection | None, ClothDirection | None]:
    fabric, way = one.fabric, one.round_body
    return fabric.direction(way), fabric.direction(
        "along" if way == "across" else "across"
    )


def _pair(
    cloths: tuple[ClothDirection | None, ClothDirection | None],
    text: Callable[[ClothDirection], str],
) -> str:
    return " / ".join("-" if cloth is None else text(cloth) for cloth in cloths)


def _mean(key: str, digits: int) -> Callable[[ClothDirection], str]:
    def text(cloth: ClothDirection) -> str:
        figure = getattr(cloth, key)
        return "-" if figure is None else percent_text(figure.mean, digits)

    return text


def _power(strain: float) -> Callable[[ClothDirection], str]:
    def text(cloth: ClothDirection) -> str:
        tension = power_at(cloth, strain)
        return "-" if tension is None else f"{tension:.0f}"

    return text


def _aimed_at(compared: Comparison) -> str:
    """Return the girth where the pressure is aimed at."""
    found = (one.reduction for one in compared.suited if one.reduction is not None)
    return next(found).allowed.held_at[0]


def _fit_table(compared: Comparison) -> Table:
    def decided(text: Callable[[Reduction], str]) -> list[str]:
        return [
            "-" if one.reduction is None else text(one.reduction)
            for one in compared.suited
        ]

    def down(
        text: Callable[[Reduction], str], kept: Callable[[float], str]
    ) -> list[str]:
        return [
            usual if one.kept_length is None else kept(one.kept_length)
            for one, usual in zip(compared.suited, decided(text), strict=True)
        ]

    def held(name: str, digits: int) -> list[str]:
        figures = (getattr(one.held, name, None) for one in compared.suited)
        return ["-" if one is None else f"{one:.{digits}f}" for one in figures]

    rows = [
        ("round: factor", *decided(lambda r: f"{r.girth.factor:.3f}")),
        ("  off the body (%)", *decided(lambda r: percent_text(r.girth.reduction))),
        ("  worn (%)", *decided(lambda r: percent_text(r.girth.strain))),
        ("  decided by", *decided(lambda r: _binds(r.girth))),
        (
            "down: factor",
            *down(lambda r: f"{r.length.factor:.3f}", lambda kept: f"{kept:.3f}"),
        ),
        ("  decided by", *down(lambda r: _binds(r.length), lambda _: AS_IT_IS)),
        (f"{_aimed_at(compared)}, mean (kPa)", *held("pressure_kpa", 2)),
        ("most at a side (kPa)", *held("side_kpa", 2)),
        ("pull (N)", *held("pull_n", 1)),
    ]
    checks = [one.as_it_is for one in compared.suited]
    if any(check is not None for check in checks):
        verdicts = ("-" if check is None else check.verdict for check in checks)
        rows.append(
            (
                "block as it is",
                *("\n".join(wrap(text, NAME_WIDTH)) for text in verdicts),
            )
        )
    whom = "" if compared.body is None else f" on {compared.body.name}"
    aims = {one.reduction.aim.name for one in compared.suited if one.reduction}
    title = f"Cut for each{whom}, hold {', '.join(sorted(aims))}"
    return make_table(title, _columns(compared), rows)


def _binds(decision: Decision) -> str:
    return "\n".join(wrap(decision.bound_title, NAME_WIDTH))


def _size_table(compared: Comparison, units: str) -> Table:
    def cell(after: float | None, change: float | None, first: bool) -> str:
        if after is None:
            return "-"
        size = length_text(after, units)
        if first or change is None:
            return size
        return f"{size}\n({'+' if change > 0 else ''}{length_text(change, units)})"

    rows = []
    for name in compared.size_names:
        pairs = zip(compared.after_cm(name), compared.swapped_cm(name), strict=True)
        cells = (cell(after, change, i == 0) for i, (after, change) in enumerate(pairs))
        rows.append((name, *cells))
    title = f"Block cut for each ({units})"
    return make_table(title, _columns(compared), rows, caption=inch_note(units))


def need_parts(suiting: Suiting, aim: Aim, body: str) -> list[Table | str]:
    """Return what a block needs, and each fabric with what it has of it."""
    need = suiting.need
    if not need.possible:
        return [folded(need.impossible_text(body), WIDTH)]
    down = "by an amount not known"
    if need.length_strain is not None:
        down = f"{percent_text(need.length_strain)} %"
    said = (
        f"As it is, this block needs {need.stretch_text}; and {need.tension:.0f} N/m at "
        f"the {need.level}, worn "
        f"{percent_text(need.strain)} % stretched round and {down} down, for the hold "
        f"{aim.name} "
        f"({aim.pressure_kpa:g} kPa). {suiting.least_tension:.0f} to "
        f"{suiting.most_tension:.0f} N/m is easy to firm."
    )
    return [
        folded(said, WIDTH),
        _need_table(suiting.having),
        _suit_lines(suiting.having),
    ]


def _suit_lines(having: Sequence[Having]) -> str:
    def named(right_power: bool | None) -> str:
        return ", ".join(
            one.check.fabric.name
            for one in having
            if one.fits
            and one.enough_stretch is not None
            and one.right_power is right_power
        )

    found = named(right_power=True)
    lines = [f"Has all of it: {found}." if found else "None of these has all of it."]
    if others := named(right_power=False):
        lines.append(f"Fits, but holds less than easy or more than firm: {others}.")
    if untested := named(right_power=None):
        lines.append(f"Fits as far as it was tested, without a load test: {untested}.")
    one_way = ", ".join(
        one.check.fabric.name
        for one in having
        if one.fits and one.enough_stretch is None
    )
    if one_way:
        lines.append(f"Fits as far as it was tested, not down the body: {one_way}.")
    return "\n".join(folded(line, WIDTH) for line in lines)


_YES: Final = {None: "-", True: "yes", False: "no"}


def _need_table(having: Sequence[Having]) -> Table:
    rows = [
        (
            one.check.fabric.name,
            percent_text(one.check.stretch, 0),
            _tested(one.check.stretch_down),
            _YES[one.enough_stretch],
            "-" if one.tension is None else f"{one.tension:.0f}",
            _YES[one.right_power],
            "\n".join(wrap(one.check.verdict, NAME_WIDTH)),
        )
        for one in having
    ]
    columns = (
        *("fabric", "round\n(%)", "down\n(%)", "enough", "N/m\nworn", "in\nband"),
        "verdict",
    )
    return make_table(
        "Which fabrics have it, the best first",
        columns,
        rows,
        text_columns=(0, 6),
        caption="round, down: tested stretch; enough: both, by the cloth's own contraction",
    )


def _tested(stretch: float) -> str:
    return percent_text(stretch, 0) if stretch == stretch else "-"
