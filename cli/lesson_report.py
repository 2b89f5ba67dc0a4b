"""What ``ease lesson`` shows: seven steps, each with the numbers put in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ease.units import CM_PER, KPA_PER_MMHG, length_text, percent_text

from .tables import WIDTH, folded, inch_note, make_table

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.lesson import Lesson
    from ease.fit.lesson import Pulled, TwoCuts

CLASS_PLAN = (
    "Two hours: 1 with swatches, rulers and pens (25 min); 2 at the board (20); "
    "3 with a wet swatch (15); 4 with each student's own bust (20); 5 with a strip "
    "pulled wide (10); 6 (10); 7 with the class's own blocks (20). Exercises: "
    "`ease lesson --quiz 10 --seed 1 --out quiz.pdf`"
)


def lesson_parts(lesson: Lesson, units: str) -> list[RenderableType]:
    """Return the whole lesson for the terminal."""
    reduction = lesson.reduction
    fabric, body = reduction.fabric, reduction.body
    heading = (
        f"Why swimwear is cut below body size: {fabric.title} ({fabric.name}, "
        f"{fabric.origin}) on {body.title}, hold {reduction.aim.name}; block "
        f"{lesson.block.name}."
    )
    steps = (_pulled, _two_cuts, _body_size, _sizes, _shortens, _falls, _block)
    parts: list[RenderableType] = [_text(heading)]
    for step in steps:
        parts += step(lesson, units)
    return [*parts, _text(CLASS_PLAN)]


def _text(*sentences: str) -> str:
    return folded(" ".join(sentences), WIDTH)


def exact(value_cm: float, units: str) -> str:
    """Return a length for arithmetic on paper: two decimals in either unit."""
    return f"{value_cm / CM_PER[units]:.2f}"


def _pulled(lesson: Lesson, units: str) -> list[RenderableType]:
    rows = [_pulled_row(strip, units) for strip in lesson.pulled]
    columns = (
        *("strip", "on the body", "relaxed", "pulled", "rested"),
        *("stretch", "growth", "recovery"),
    )
    title = f"1  Stretch from three lengths ({units}, %)"
    table = make_table("", columns, rows, text_columns=(0, 1))
    strip = lesson.pulled[0].reading
    gauge, pulled = exact(strip.gauge, units), exact(strip.extended, units)
    said = [
        f"Stretch = ({pulled} - {gauge}) / {gauge} = {percent_text(strip.stretch)} %."
    ]
    if strip.rested is not None:
        rested = exact(strip.rested, units)
        said += [
            f"Growth = ({rested} - {gauge}) / {gauge} = "
            f"{percent_text(strip.growth or 0)} %.",
            f"Recovery = ({pulled} - {rested}) / ({pulled} - {gauge}) = "
            f"{percent_text(strip.recovery or 0)} % of the extension came back. The "
            "strip standard's recovered elongation, 100 - growth = "
            f"{percent_text(strip.recovered_elongation or 0)} %, is another number: "
            "say which you mean.",
        ]
    ask = "Ask: which way of your swatch stretches more? That way goes round."
    return [title, table, _text(*said), ask]


def _pulled_row(strip: Pulled, units: str) -> tuple[str, ...]:
    reading = strip.reading
    lengths = (reading.gauge, reading.extended, reading.rested)
    shares = (reading.stretch, reading.growth, reading.recovery)
    return (
        strip.cloth,
        strip.goes,
        *("-" if cm is None else exact(cm, units) for cm in lengths),
        *("-" if share is None else percent_text(share) for share in shares),
    )


def _two_cuts(lesson: Lesson, units: str) -> list[RenderableType]:
    def row(name: str, cuts: TwoCuts) -> tuple[str, ...]:
        return (
            name,
            percent_text(cuts.strain),
            length_text(cuts.right_cm, units),
            percent_text(cuts.reduction),
            length_text(cuts.wrong_cm, units),
            percent_text(cuts.wrong_strain),
        )

    taught = lesson.taught
    title = f"2  25 % is not 25 %: bust {length_text(taught.body_cm, units)} {units}"
    table = make_table(
        "",
        (
            *("", "worn (%)", f"cut ({units})", "off body (%)"),
            *("mistaken cut", "worn (%)"),
        ),
        [row("to learn by", taught), row("this fabric", lesson.own)],
    )
    body = exact(taught.body_cm, units)
    right, wrong = exact(taught.right_cm, units), exact(taught.wrong_cm, units)
    said = _text(
        "Strain counts from the cut piece, reduction from the body.",
        f"Worn 25 %: {body} / (1 + 0.25) = {right} {units}, which is",
        f"{body} - {right} = {exact(taught.body_cm - taught.right_cm, units)} {units}",
        f"of negative ease: {percent_text(taught.reduction)} % off the body.",
        f"The mistake: {body} x (1 - 0.25) = {wrong} {units}, worn",
        f"{body} / {wrong} - 1 = {percent_text(taught.wrong_strain)} %.",
    )
    ask = "Ask: how much off the body for 100 % strain? (Half, not all of it.)"
    return [title, table, said, ask]


def _body_size(lesson: Lesson, units: str) -> list[RenderableType]:
    girth = lesson.reduction.girth
    body = lesson.reduction.body
    loop = body.values.get("torso_loop")
    rows = []
    for state in lesson.grown:
        sizes = [(body["bust"], state.round), (loop, state.down)]
        cells = [
            "-" if size is None or grown is None else length_text(size * part, units)
            for size, grown in sizes
            for part in ((1 + (grown or 0)), grown or 0)
        ]
        rows.append((state.state, percent_text(state.strain), *cells))
    title = f"3  Cut at body size it hangs ({units})"
    table = make_table(
        "",
        (
            *("the suit is", "worn (%)", "its bust", "too large by"),
            *("its loop", "too long by"),
        ),
        rows,
    )
    low, high = girth.low, girth.high
    window = ""
    if low is not None and high is not None:
        window = (
            f"This fabric's window on this body runs from {percent_text(low.strain)} % "
            f"({low.title}) to {percent_text(high.strain)} % ({high.title}); body size, "
            f"0 %, lies {'outside' if low.strain > 0 else 'on its edge'}. Decided: "
            f"{percent_text(girth.strain)} % ({girth.bound_title})."
        )
    said = _text(
        "New, the cloth is just as large as the body: strain 0, no tension, nothing "
        "holds. Once pulled out and rested as in the test it has grown past the body, "
        "and wet it grows further: it sags.",
        window,
    )
    return [title, table, said, "Ask: where will this suit sag first, and why there?"]


def _sizes(lesson: Lesson, units: str) -> list[RenderableType]:
    run = lesson.sizes
    fixed = length_text(run.fixed_cm, units)
    table = _size_table(lesson, units)
    title = (
        f"4  A fixed {fixed} {units} off each quarter, or the factor {run.factor:.3f} "
        f"({units})"
    )
    total = length_text(4 * run.fixed_cm, units)
    first, last = (run.fixed_strain[i] for i in (0, -1))
    small, large = (length_text(run.bust[i], units) for i in (0, -1))
    said = _text(
        f"{fixed} {units} off each quarter is {total} {units} off every bust: "
        f"{percent_text(4 * run.fixed_cm / run.bust[0])} % of {small} but "
        f"{percent_text(4 * run.fixed_cm / run.bust[-1])} % of {large}. The smallest is "
        f"worn {percent_text(first)} %, the largest {percent_text(last)} %: a fixed "
        "amount squeezes the small, and the larger the body the looser it holds. One "
        f"factor gives every size the same {percent_text(run.factor_strain)} %. "
        "Tight: past the window or above the hold `firm`; loose: short of it or below "
        "`easy`.",
    )
    ask = "Ask: at which bust do the two agree, and who is it right for?"
    return [title, table, said, ask]


def _size_table(lesson: Lesson, units: str) -> Table:
    run = lesson.sizes
    pressed = run.fixed_pressure is not None and run.factor_pressure is not None
    rows = []
    for i, bust in enumerate(run.bust):
        left = [length_text(run.fixed_cut[i], units), percent_text(run.fixed_strain[i])]
        right = [length_text(run.factor_cut[i], units), percent_text(run.factor_strain)]
        if run.fixed_pressure is not None and run.factor_pressure is not None:
            left.append(_kpa(run.fixed_pressure[i]))
            right.append(_kpa(run.factor_pressure[i]))
        rows.append((length_text(bust, units), *left, run.hold[i] or "-", *right))
    kpa = ("kPa",) if pressed else ()
    columns = (
        *("bust", "fixed cut", "worn (%)", *kpa, "hold"),
        *("factor cut", "worn (%)", *kpa),
    )
    return make_table(
        "",
        columns,
        rows,
        text_columns=(4 if pressed else 3,),
        caption="waist and hip in this body's proportions"
        + ("; kPa: mean pressure at the bust" if pressed else ""),
    )


def _kpa(value: float) -> str:
    return "past test" if value != value else f"{value:.2f}"


def _shortens(lesson: Lesson, units: str) -> list[RenderableType]:
    reduction = lesson.reduction
    strain, shrink = reduction.girth.strain, 1.0 - reduction.free_length
    said = [
        f"Stretched {percent_text(strain)} % round and free to move down, the cloth "
        f"shortens by {percent_text(shrink)} %."
    ]
    free = lesson.free_loop_cm
    if free is not None:
        loop = reduction.body["torso_loop"]
        said += [
            f"A torso loop cut at body length, {exact(loop, units)} {units}, is then "
            f"{exact(free, units)} {units} long; on the body it is pulled back to "
            f"{exact(loop, units)}: {exact(loop, units)} / {exact(free, units)} - 1 = "
            f"{percent_text(reduction.contraction_strain)} %, though nothing was taken "
            "off its length.",
            f"This fabric is cut at {length_text(reduction.cut('torso_loop'), units)} "
            f"{units} (factor {reduction.length.factor:.3f}). Take length off for the "
            "same reason again, and the straps dig in.",
        ]
    title = "5  Stretched round, it gets shorter"
    ask = "Ask: hold a strip at both ends and pull. What does its middle do?"
    return [title, _text(*said), ask]


def _falls(lesson: Lesson, units: str) -> list[RenderableType]:
    falling = lesson.falling
    rows = [
        (name, length_text(girth, units), f"{kpa:.2f}", f"{kpa / KPA_PER_MMHG:.1f}")
        for name, girth, kpa in zip(
            falling.names, falling.girth, falling.pressure, strict=True
        )
    ]
    whose = (
        "an example, for want of a load test" if falling.is_example else "this cloth"
    )
    title = f"6  The same pull presses less round a larger girth ({whose})"
    table = make_table(
        "",
        ("", f"girth ({units})", "mean (kPa)", "(mmHg)"),
        rows,
    )
    at = falling.names.index("bust")
    metres, kpa = falling.girth[at] / 100, falling.pressure[at]
    worn = f" / {1 + falling.length_strain:.3f}" if falling.length_strain else ""
    said = _text(
        f"Pressure = 2 pi x tension / girth: 2 x 3.1416 x {falling.tension:.1f} N/m / "
        f"{metres:.3f} m{worn} = {1000 * kpa:.0f} Pa = {kpa:.2f} kPa at the bust.",
        "Twice the girth, half the pressure: so one factor for all does not hold all "
        "alike. A figure round an oval body is a mean; the side gets more."
        + (" The last divisor is the worn length over the cut." if worn else ""),
    )
    ask = "Ask: why does the same elastic cut into an arm and not into a hip?"
    return [title, table, said, ask]


def _block(lesson: Lesson, units: str) -> list[RenderableType]:
    rows = [
        (
            row.name,
            *(length_text(cm, units) for cm in (row.body_cm, row.block_cm)),
            percent_text(row.strain),
            length_text(row.cut_cm, units),
            length_text(row.off_quarter_cm, units, 2),
        )
        for row in lesson.levels
    ]
    columns = ("", "body", "block", "worn (%)", "cut", "off each quarter")
    title = f"7  The block {lesson.block.name} ({units})"
    table = make_table("", columns, rows, caption=inch_note(units))
    factor = lesson.reduction.girth.factor
    first = lesson.levels[0]
    said = _text(
        f"Cut = body x factor: {first.name} {exact(first.body_cm, units)} x "
        f"{first.cut_cm / first.body_cm:.3f} = {exact(first.cut_cm, units)} {units}. "
        f"The factor {factor:.3f} belongs to this fabric: another one, another block.",
    )
    return [title, table, said]
