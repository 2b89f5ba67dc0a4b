"""What ``ease lesson`` shows: seven steps, each with the numbers put in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ease.units import KPA_PER_MMHG, length_text, percent_text

from .tables import WIDTH, folded, inch_note, make_table

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

    from ease.block.lesson import Lesson
    from ease.fit.lesson import Falling, TwoCuts

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


def _pulled(lesson: Lesson, units: str) -> list[RenderableType]:
    from .lesson_sums import pulled_sums

    rested = any(strip.reading.rested is not None for strip in lesson.pulled)
    title = f"1  Stretch from {'three' if rested else 'two'} lengths ({units}, %)"
    rows, said = pulled_sums(lesson, units)
    columns = (
        *("strip", "on the body", "relaxed", "pulled", "rested"),
        *("stretch", "growth", "recovery"),
    )
    table = make_table("", columns, rows, text_columns=(0, 1))
    round_, *down = (strip.reading.stretch for strip in lesson.pulled)
    turned = bool(down) and round_ < down[0]
    goes = "Mostly that way goes round; here it goes down." if turned else ""
    ask = "Ask: which way of your swatch stretches more?"
    return [title, table, _text(said), f"{ask} {goes or 'That way goes round.'}"]


def _two_cuts(lesson: Lesson, units: str) -> list[RenderableType]:
    from .lesson_sums import two_cut_sums

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
    ask = "Ask: how much off the body for 100 % strain? (Half, not all of it.)"
    return [title, table, _text(two_cut_sums(lesson, units)), ask]


def _body_size(lesson: Lesson, units: str) -> list[RenderableType]:
    from ease.block.lesson_words import body_size_words, percents, window_words

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
    title = f"3  Cut at body size it does not hold ({units})"
    table = make_table(
        "",
        (
            *("the suit is", "worn (%)", "its bust", "past the body"),
            *("its loop", "past the body"),
        ),
        rows,
    )
    said = _text(body_size_words(lesson), window_words(lesson))
    sags = any(percents(state.round) > 0 for state in lesson.grown)
    ask = "where will this suit sag first, and why there?"
    if not sags:
        ask = "what holds a suit up that is just as large as the body?"
    return [title, table, said, f"Ask: {ask}"]


def _sizes(lesson: Lesson, units: str) -> list[RenderableType]:
    from ease.block.lesson_words import (
        agreeing_bust_in_table,
        factor_text,
        hold_words,
    )

    from .lesson_sums import fixed_sums

    run = lesson.sizes
    fixed = length_text(run.fixed_cm, units)
    title = (
        f"4  A fixed {fixed} {units} off each quarter, or the factor "
        f"{factor_text(lesson)} ({units})"
    )
    said = _text(
        fixed_sums(lesson, units),
        "The larger the body, the less a fixed amount stretches the cloth; here it is "
        f"{hold_words(lesson, units)}. One factor gives every size the same "
        f"{percent_text(run.factor_strain)} %. Tight: past the window or above the hold "
        "`firm`; loose: short of it or below `easy`, unless the factor is so itself.",
    )
    ask = "Ask: at which bust do the two agree, and who is it right for?"
    if not agreeing_bust_in_table(lesson):
        ask = "Ask: how much off each quarter would agree with the factor at your bust?"
    return [title, _size_table(lesson, units), said, ask]


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
    from ease.block.lesson_words import contraction_assumed, shortens

    from .lesson_sums import shortened_sums

    shorter = shortens(lesson)
    title = "5  Stretched round, " + (
        "it gets shorter" if shorter else "does it get shorter?"
    )
    said = [shortened_sums(lesson, units)]
    if contraction_assumed(lesson):
        said.append(
            "The contraction of this cloth was not read: a usual one stands in."
        )
    if shorter:
        said.append("Take length off for the same reason again, and the straps dig in.")
    ask = "Ask: hold a strip at both ends and pull. What does its middle do?"
    return [title, _text(*said), ask]


def _alone(falling: Falling) -> list[str]:
    """Say why the tension is not that of the load test."""
    if falling.alone is None:
        return []
    return [
        f"A strip by itself, as in the load test, carries {falling.alone:.1f} N/m there; "
        f"held down the body as well, the cloth carries {falling.tension:.1f} N/m."
    ]


def _falls(lesson: Lesson, units: str) -> list[RenderableType]:
    from .lesson_sums import falling_sum

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
    said = _text(
        falling_sum(lesson),
        "Twice the girth, half the pressure: so one factor for all does not hold all "
        "alike. A figure round an oval body is a mean; the side gets more."
        + (
            " The last divisor is the worn length over the cut."
            if falling.length_strain
            else ""
        ),
        *_alone(falling),
    )
    ask = "Ask: why does the same elastic cut into an arm and not into a hip?"
    return [title, table, said, ask]


def _block(lesson: Lesson, units: str) -> list[RenderableType]:
    from ease.block.lesson_words import factor_text

    from .lesson_sums import cut_sum

    rows = [
        (
            row.name,
            *(length_text(cm, units) for cm in (row.body_cm, row.block_cm)),
            percent_text(row.strain),
            length_text(row.cut_cm, units),
            _quarter(row.off_quarter_cm, units),
        )
        for row in lesson.levels
    ]
    columns = ("", "body", "block now", "worn (%)", "cut", "each quarter")
    title = f"7  The block {lesson.block.name}, as it is and as it is cut ({units})"
    table = make_table("", columns, rows, caption=inch_note(units))
    said = _text(
        f"Cut = body x factor: {cut_sum(lesson, units)}. The block's own girth does not "
        "enter it; each quarter is a fourth of the way from the block to the cut. The "
        f"factor {factor_text(lesson)} belongs to this fabric: another one, another "
        "block.",
    )
    return [title, table, said]


def _quarter(off_cm: float, units: str) -> str:
    size = length_text(abs(off_cm), units, 2)
    if float(size if units == "cm" else size != "0") == 0:
        return "as it is"
    return f"{size} {'off' if off_cm > 0 else 'added'}"
