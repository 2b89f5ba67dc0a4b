"""Worked sums on paper: as many digits as it takes that the printed answer comes out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

__all__ = ["MOST_DIGITS", "Product", "Sum", "digits_of", "figure_text"]

MOST_DIGITS: Final = 8
_NOISE: Final = 1e-9  # of doubles, far below any printed digit


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum whose figures are printed rounded.

    Attributes:
        work: The sum, of its figures.
        figures: The figures, unrounded.
        answer: What is printed as the answer, unrounded.
        digits: Decimals of the answer; None: those of the figures.
        finer: How many decimals each figure has over the others; empty: none.
    """

    work: Callable[..., float]
    figures: tuple[float, ...]
    answer: float
    digits: int | None = None
    finer: tuple[int, ...] = ()

    def holds(self, digits: int) -> bool:
        """Whether the printed figures give the printed answer, to half a digit."""
        more = self.finer or (0,) * len(self.figures)
        printed = [
            round(figure, digits + finer)
            for figure, finer in zip(self.figures, more, strict=True)
        ]
        shown = digits if self.digits is None else self.digits
        gap = self.work(*printed) - float(f"{self.answer:.{shown}f}")
        return bool(abs(gap) <= 0.5 * 10.0**-shown + _NOISE)


def digits_of(*sums: Sum, least: int = 2) -> int:
    """Return the fewest decimals with which every sum comes out as printed.

    Args:
        *sums: Sums that share their figures.
        least: Decimals that are printed anyway.

    Examples:
        5.165 and 5.000 inch: 3.4 % by the figures of two decimals, 3.3 % in truth.

        >>> grown = Sum(lambda c, a: 100 * (c - a) / a, (5.165, 5.0), 3.3, 1)
        >>> digits_of(grown)
        3
    """
    tried = range(least, MOST_DIGITS)
    return next((n for n in tried if all(one.holds(n) for one in sums)), MOST_DIGITS)


@dataclass(frozen=True, slots=True)
class Product:
    """A length times a share, each with digits of its own.

    Attributes:
        length: The length.
        share: The share.
        left: Whether what the share leaves is wanted, ``length x (1 - share)``.
    """

    length: float
    share: float
    left: bool = False

    def digits(self, of_length: int, of_product: int = 2) -> int:
        """Return the decimals of the share, 3 or more, with which the product comes out.

        Args:
            of_length: Decimals of the length.
            of_product: Decimals of the product.

        Returns:
            ``MOST_DIGITS`` where no share gives the product of so rounded a length.
        """
        printed = round(self.length, of_length)

        def work(share: float) -> float:
            return printed * (1.0 - share if self.left else share)

        exact = self.length * (1.0 - self.share if self.left else self.share)
        return digits_of(Sum(work, (self.share,), exact, of_product), least=3)


def figure_text(value: float, digits: int, least: int = 2) -> str:
    """Return a figure of a sum; zeros that say nothing are left out.

    Examples:
        >>> figure_text(5.165, 3), figure_text(5.0, 3)
        ('5.165', '5.00')
    """
    whole, _, part = f"{value:.{digits}f}".partition(".")
    part = part.rstrip("0").ljust(min(least, digits), "0")
    return f"{whole}.{part}" if part else whole
