"""Pictures of the lesson's lengths: large type, thick lines, names at the lines.

Everything is told apart by dash, weight, fill and words, so that a black-and-white copy
still reads from the back of a room.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from ease.block.lesson import Lesson
from ease.block.lesson_words import contraction_assumed, shortens
from ease.fit.working import Sum, digits_of, figure_text
from ease.show.places import Spot, place_words
from ease.units import CM_PER, percent_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "BLUE",
    "DASHED",
    "INK",
    "LINE",
    "SHADE",
    "TYPE",
    "draw_shortening",
    "draw_stretch",
    "draw_two_cuts",
]

TYPE: Final = 13.0  # least type of the pictures, points
INK: Final = "#000000"
PUSH: Final = 0.17  # length of an arrow's tail, sides of the relaxed square
BLUE: Final = "#0072B2"
SHADE: Final = "#dcdcdc"
LINE: Final[dict[str, Any]] = {"color": INK, "linewidth": 3.0}
DASHED: Final[dict[str, Any]] = {
    "color": BLUE,
    "linewidth": 3.0,
    "linestyle": (0, (4, 2)),
}


def draw_stretch(axes: Axes, lesson: Lesson, *, units: str = "cm") -> Axes:
    """Draw the strip that goes round: relaxed, pulled, and after the rest.

    Args:
        axes: Where to draw.
        lesson: The lesson.
        units: ``cm`` or ``in``.
    """
    strip = lesson.pulled[0].reading
    scale = CM_PER[units]
    lengths = strip.extended / scale, strip.gauge / scale
    whole = Sum(lambda b, a: 100 * (b - a) / a, lengths, 100 * strip.stretch, 0)
    digits = digits_of(whole, *lesson.pulled[0].sums(scale), least=1)

    def shown(cm: float) -> str:
        return figure_text(cm / scale, digits, 1)

    bars = [("relaxed", strip.gauge, "white"), ("pulled", strip.extended, SHADE)]
    if strip.rested is not None:
        bars.append(("rested", strip.rested, "white"))
    _bars(axes, [(f"{name} {shown(cm)} {units}", cm, fill) for name, cm, fill in bars])
    a, b = shown(strip.gauge), shown(strip.extended)
    lines = [f"({b} − {a}) / {a} = {percent_text(strip.stretch, 0)} %"]
    if strip.growth is not None and strip.recovery is not None:
        lines.append(
            f"grown {percent_text(strip.growth)} %, "
            f"came back {percent_text(strip.recovery)} %"
        )
    return _below(axes, *lines)


def draw_two_cuts(axes: Axes, lesson: Lesson, *, units: str = "cm") -> Axes:
    """Draw the body, the right cut for 25 % strain, and the mistaken one."""
    cuts = lesson.taught
    girths = [cm / CM_PER[units] for cm in (cuts.body_cm, cuts.right_cm, cuts.wrong_cm)]
    digits = digits_of(
        Sum(lambda b: b / 1.25, (girths[0],), girths[1]),
        Sum(lambda b: b * 0.75, (girths[0],), girths[2]),
        least=1,
    )
    body, right, wrong = (figure_text(one, digits, 1) for one in girths)
    _bars(
        axes,
        [
            (f"body {body} {units}", cuts.body_cm, SHADE),
            (f"right {right} {units}", cuts.right_cm, "white"),
            (f"wrong {wrong} {units}", cuts.wrong_cm, "white"),
        ],
    )
    return _below(
        axes,
        f"{body} / 1.25 = {right}: {percent_text(cuts.reduction, 0)} % off",
        f"{body} × 0.75: worn {percent_text(cuts.wrong_strain, 0)} %",
    )


def _bars(axes: Axes, bars: list[tuple[str, float, str]]) -> None:
    """Draw lengths as bars from one edge, each with its name and number."""
    for row, (name, size, fill) in enumerate(bars):
        wrong = name.startswith("wrong")
        axes.barh(
            row,
            size,
            height=0.7,
            facecolor=fill,
            edgecolor=INK,
            linewidth=2.5,
            linestyle="--" if wrong else "-",
            gid=name.split()[0],
        )
    longest = max(size for _, size, _ in bars)
    axes.set_xlim(-0.01 * longest, 1.02 * longest)
    axes.set_ylim(len(bars) + 0.9, -0.5)
    axes.set_axis_off()
    for row, (name, size, _) in enumerate(bars):
        inside = Spot(0.02 * longest, row, "left", "center")
        beside = Spot(size, row, "left", "center", 6)
        place_words(axes, name, [inside, beside], fontsize=TYPE + 1)


def _below(axes: Axes, *lines: str) -> Axes:
    """Write the arithmetic under the bars."""
    text = "\n".join(lines)
    axes.text(
        0.0, 0.0, text, transform=axes.transAxes, fontsize=TYPE + 1, linespacing=1.3
    )
    return axes


def draw_shortening(axes: Axes, lesson: Lesson, *, units: str = "cm") -> Axes:
    """Draw a square of cloth, and the same stretched round and shorter for it."""
    from matplotlib.patches import Rectangle

    reduction = lesson.reduction
    wide, high = 1.0 + reduction.girth.strain, reduction.free_length
    axes.add_patch(
        Rectangle((0, 0), wide, high, fc=SHADE, ec=INK, lw=3.0, gid="stretched")
    )
    axes.add_patch(
        Rectangle((0, 0), 1, 1, fill=False, lw=2.0, ls=(0, (4, 2)), gid="relaxed")
    )
    axes.text(0.04, 0.93 * high, "dashed: relaxed", va="top", fontsize=TYPE)
    # Each arrow pushes an edge to where it ends; the number stands at its tail or tip.
    for start, end in (
        ((1.0 - PUSH, 0.25), (wide, 0.25)),
        ((0.6, 1.0 + PUSH), (0.6, high)),
    ):
        axes.annotate(
            "",
            end,
            start,
            arrowprops={
                "arrowstyle": "-|>,head_length=0.6,head_width=0.3",
                "lw": 2.5,
                "fc": INK,
                "shrinkA": 0,
                "shrinkB": 0,
            },
        )
    grown, lost = f"+{percent_text(wide - 1)} %", f"−{percent_text(1 - high)} %"
    if not shortens(lesson):
        lost = "no shorter"
    if contraction_assumed(lesson):
        lost += " (assumed)"
    axes.text(wide + 0.03, 0.25, grown, va="center", fontsize=TYPE)
    axes.text(0.64, 1.04, lost, fontsize=TYPE)
    free = lesson.free_loop_cm
    if free is not None and shortens(lesson):
        loop = f"{reduction.body['torso_loop'] / CM_PER[units]:.1f}"
        _below(axes, f"loop {loop} → {free / CM_PER[units]:.1f} {units}: it pulls")
    axes.set_xlim(-0.03, max(1.55, 1.4 * wide))  # room for the number beside it
    axes.set_ylim(-0.28, 1.0 + PUSH)
    axes.set_axis_off()
    return axes
