"""The worked sums of ``ease lesson``: the printed figures give the printed answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ease.units import CM_PER, percent_text

if TYPE_CHECKING:
    from ease.block.lesson import Lesson


def pulled_sums(lesson: Lesson, units: str) -> tuple[list[tuple[str, ...]], str]:
    """Return the rows of the strips, and the sums of the one that goes round."""
    from ease.fit.working import digits_of, figure_text

    scale = CM_PER[units]
    sums = [one for strip in lesson.pulled for one in strip.sums(scale)]
    digits = digits_of(*sums)

    def shown(cm: float | None) -> str:
        return "-" if cm is None else figure_text(cm / scale, digits)

    rows = []
    for strip in lesson.pulled:
        reading = strip.reading
        shares = (reading.stretch, reading.growth, reading.recovery)
        rows.append(
            (
                strip.cloth,
                strip.goes,
                *map(shown, (reading.gauge, reading.extended, reading.rested)),
                *("-" if share is None else percent_text(share) for share in shares),
            )
        )
    reading = lesson.pulled[0].reading
    gauge, pulled, rested = map(
        shown, (reading.gauge, reading.extended, reading.rested)
    )
    stretch, growth, recovery = rows[0][-3:]
    said = f"Stretch = ({pulled} - {gauge}) / {gauge} = {stretch} %."
    if reading.rested is None:
        return rows, f"{said} Growth and recovery were not read."
    other = percent_text(reading.recovered_elongation or 0)
    differs = "is another number" if other != recovery else "is the same only by chance"
    return rows, (
        f"{said} Growth = ({rested} - {gauge}) / {gauge} = {growth} %. Recovery = "
        f"({pulled} - {rested}) / ({pulled} - {gauge}) = {recovery} % of the extension "
        "came back. The strip standard's recovered elongation, "
        f"100 - {growth} = {other} %, {differs}: say which you mean."
    )


def two_cut_sums(lesson: Lesson, units: str) -> str:
    """Return 25 % cut rightly and by the common mistake."""
    from ease.fit.working import Sum, digits_of, figure_text

    cuts, scale = lesson.taught, CM_PER[units]
    body, right, wrong = (
        cm / scale for cm in (cuts.body_cm, cuts.right_cm, cuts.wrong_cm)
    )
    ease = body - right
    digits = digits_of(
        Sum(lambda b: b / 1.25, (body,), right),
        Sum(lambda b, r: b - r, (body, right), ease),
        Sum(lambda e, b: 100 * e / b, (ease, body), 100 * cuts.reduction, 1),
        Sum(lambda b: b * 0.75, (body,), wrong),
        Sum(lambda b, w: 100 * (b / w - 1), (body, wrong), 100 * cuts.wrong_strain, 1),
    )
    b, r, e, w = (figure_text(one, digits) for one in (body, right, ease, wrong))
    return (
        "Strain counts from the cut piece, reduction from the body. Worn 25 %: "
        f"{b} / (1 + 0.25) = {r} {units}, which is {b} - {r} = {e} {units} of negative "
        f"ease: {e} / {b} = {percent_text(cuts.reduction)} % off the body. The mistake: "
        f"{b} x (1 - 0.25) = {w} {units}, worn {b} / {w} - 1 = "
        f"{percent_text(cuts.wrong_strain)} %."
    )


def fixed_sums(lesson: Lesson, units: str) -> str:
    """Return what a fixed amount is in the smallest and the largest size."""
    from ease.fit.working import Sum, digits_of, figure_text

    run, scale = lesson.sizes, CM_PER[units]
    quarter, total = run.fixed_cm / scale, 4 * run.fixed_cm / scale
    small, large = (float(run.bust[place]) / scale for place in (0, -1))
    sums = [Sum(lambda q: 4 * q, (quarter,), total)]
    for bust in (small, large):
        sums += [
            Sum(lambda t, b: 100 * t / b, (total, bust), 100 * total / bust, 1),
            Sum(
                lambda t, b: 100 * t / (b - t),
                (total, bust),
                100 * total / (bust - total),
                1,
            ),
        ]
    least = 1 if units == "cm" else 2
    digits = digits_of(*sums, least=least)
    q, t, s, g = (
        figure_text(one, digits, least) for one in (quarter, total, small, large)
    )
    off = [percent_text(total / bust) for bust in (small, large)]
    worn = [percent_text(total / (bust - total)) for bust in (small, large)]
    return (
        f"{q} {units} off each quarter is 4 x {q} = {t} {units} off every bust: "
        f"{t} / {s} = {off[0]} % of the smallest but {t} / {g} = {off[1]} % of the "
        f"largest. Worn: {t} / ({s} - {t}) = {worn[0]} % and {t} / ({g} - {t}) = "
        f"{worn[1]} %."
    )


def shortened_sums(lesson: Lesson, units: str) -> str:
    """Return by how much cloth that is stretched round gets shorter, and the loop."""
    from ease.block.lesson_words import shortens
    from ease.fit.working import MOST_DIGITS, Product, Sum, figure_text

    reduction, free = lesson.reduction, lesson.free_loop_cm
    shrink, scale = 1.0 - reduction.free_length, CM_PER[units]
    said = f"Stretched {percent_text(reduction.girth.strain)} % round and free to move "
    still = f"{said}down, this cloth does not get shorter."
    if free is None:
        shorter = f"{said}down, the cloth shortens by {percent_text(shrink)} %."
        return shorter if shortens(lesson) else still
    loop = reduction.body["torso_loop"] / scale
    shrinking = Product(loop, shrink, left=True)
    cutting = Product(loop, reduction.length.factor)
    pulled, free = 100 * reduction.contraction_strain, free / scale
    digits, more = next(
        (n, more)
        for n, more in ((2, 2), (2, 3), (3, 3), (3, 4), (4, 5), (5, MOST_DIGITS))
        if more == MOST_DIGITS
        or (
            Sum(
                lambda a, f: 100 * (a / f - 1), (loop, free), pulled, 1, (more - n, 0)
            ).holds(n)
            and max(shrinking.digits(more, n), cutting.digits(more, n)) < MOST_DIGITS
        )
    )
    cut = reduction.cut("torso_loop") / scale
    a = figure_text(loop, more)
    f, c = (figure_text(one, digits) for one in (free, cut))
    part = figure_text(shrink, shrinking.digits(more, digits), 3)
    whole = figure_text(cutting.share, cutting.digits(more, digits), 3)
    sizes = f"This fabric is cut at {a} x {whole} = {c} {units}."
    if not shortens(lesson):
        return f"{still} {sizes}"
    return (
        f"{said}down, the cloth shortens by {percent_text(shrink)} %. A torso loop cut "
        f"at body length is then {a} x (1 - {part}) = {f} {units} long; on the body it "
        f"is pulled back to {a}: {a} / {f} - 1 = {pulled:.1f} %, though nothing was "
        f"taken off its length. {sizes}"
    )


def falling_sum(lesson: Lesson) -> str:
    """Return the pressure at the bust."""
    from ease.fit.working import Sum, digits_of, figure_text

    falling = lesson.falling
    at = falling.names.index("bust")
    metres, kpa = float(falling.girth[at]) / 100, float(falling.pressure[at])
    figures = (falling.tension, metres, 1 + falling.length_strain)
    digits = digits_of(
        Sum(lambda t, m, w: 6.2832 * t / m / w, figures, 1000 * kpa, 0, (0, 2, 2)),
        least=1,
    )
    tension = figure_text(figures[0], digits, 1)
    girth, worn = (figure_text(one, digits + 2, 3) for one in figures[1:])
    by = f" / {worn}" if falling.length_strain else ""
    return (
        f"Pressure = 2 pi x tension / girth: 2 x 3.1416 x {tension} N/m / {girth} m{by} = "
        f"{1000 * kpa:.0f} Pa = {kpa:.2f} kPa at the bust."
    )


def cut_sum(lesson: Lesson, units: str) -> str:
    """Return the first level's cut from its body and the factor."""
    from ease.fit.working import MOST_DIGITS, Product, figure_text

    first, scale = lesson.levels[0], CM_PER[units]
    product = Product(first.body_cm / scale, lesson.reduction.girth.factor)
    digits = next(
        n for n in range(2, MOST_DIGITS + 1) if product.digits(n) < MOST_DIGITS
    )
    b, c = figure_text(product.length, digits), figure_text(first.cut_cm / scale, 2)
    f = figure_text(product.share, product.digits(digits), 3)
    return f"{first.name} {b} x {f} = {c} {units}"
