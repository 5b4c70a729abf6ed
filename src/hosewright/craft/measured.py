"""Numbers with an uncertainty: a typed face on the `uncertainties` package, which has no types of its own.

Errors are standard uncertainties (one sigma) and are carried through every later number, correlations
included, because each reading is made once and its variable reused.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from hosewright.craft import CraftError

if TYPE_CHECKING:
    from collections.abc import Sequence


NEXT_TO_NOTHING_ROWS = 0.05


class Measured(Protocol):
    """A value with a standard uncertainty, and the arithmetic on it."""

    @property
    def nominal_value(self) -> float: ...
    @property
    def std_dev(self) -> float: ...
    def __add__(self, other: Measured | float) -> Measured: ...
    def __radd__(self, other: float) -> Measured: ...
    def __sub__(self, other: Measured | float) -> Measured: ...
    def __rsub__(self, other: float) -> Measured: ...
    def __mul__(self, other: Measured | float) -> Measured: ...
    def __rmul__(self, other: float) -> Measured: ...
    def __truediv__(self, other: Measured | float) -> Measured: ...
    def __rtruediv__(self, other: float) -> Measured: ...
    def __pow__(self, other: float) -> Measured: ...
    def __neg__(self) -> Measured: ...


Number = TypeVar("Number", float, Measured)


def measured(value: float, error: float = 0.0) -> Measured:
    """A new independent value with standard uncertainty ``error`` (same unit). Zero error means exact.

    Raises CraftError.
    """
    if not (math.isfinite(value) and math.isfinite(error) and error >= 0):
        raise CraftError("A measured value needs a finite number and an error of zero or more.")
    # On first use: it brings numpy in where there is one, half of the time of a verb that measures nothing.
    from uncertainties import core, ufloat

    if error == 0:
        return cast("Measured", core.AffineScalarFunc(value, core.LinearCombination({})))
    return cast("Measured", ufloat(value, error))


def in_numbers(name: str, value: Measured, per: float = 1.0) -> dict[str, float]:
    """Plain numbers for a file, ``per`` times as large: NAME and NAME_error."""
    return {name: nominal(value) * per, f"{name}_error": error(value) * per}


def as_measured(value: Measured | float) -> Measured:
    """``value`` itself when it carries an error, else the exact number. Raises CraftError."""
    return measured(float(value)) if isinstance(value, (int, float)) else value


def nominal(value: Measured | float) -> float:
    """The number without its error."""
    return float(value) if isinstance(value, (int, float)) else float(value.nominal_value)


def error(value: Measured | float) -> float:
    """The standard uncertainty, 0 for a plain number."""
    return 0.0 if isinstance(value, (int, float)) else float(value.std_dev)


def root(value: Number) -> Number:
    """The square root, errors carried along."""
    return math.sqrt(value) if isinstance(value, (int, float)) else value**0.5


def combine(values: Sequence[Measured]) -> Measured:
    """Inverse-variance weighted mean of independent estimates of one quantity (closed form: the GUM, from memory).

    An exact estimate (error 0) wins outright, so at most one may be exact. Raises CraftError.
    """
    if not values:
        raise CraftError("There is nothing to combine: give at least one estimate.")
    exact = [value for value in values if error(value) == 0]
    if exact:
        return exact[0]
    weights = [error(value) ** -2 for value in values]
    mean = sum(w * nominal(v) for w, v in zip(weights, values, strict=True)) / sum(weights)
    return measured(mean, sum(weights) ** -0.5)


def half_up(value: Measured | float) -> int:
    """The nearest whole number, halves up, so that every place that shows a count shows the same one."""
    return math.floor(nominal(value) + 0.5)


def show_rows(rows: Measured | float, tape: float | None = None) -> str:
    """Rows as a knitter says them: "67 ± 1 rows", or "67 rows" when they are as good as exact.

    ``tape`` is the part of the error, in rows, that is the tape's: "67 ± 2 rows, ± 1 of it from the tape".
    """
    shown, spread = half_up(nominal(rows)), shown_error(rows)
    word = "row" if shown == 1 and not spread else "rows"
    said = f"{shown} ± {spread} {word}" if spread else f"{shown} {word}"
    return f"{said}{tape_part(tape)}" if spread else said


def shown_error(rows: Measured | float) -> int:
    """The error of rows as it is shown: to the whole row, so that no measured count is surer than a row either way."""
    spread = error(rows)
    return max(1, half_up(spread)) if spread >= NEXT_TO_NOTHING_ROWS else 0


def tape_part(rows: float | None) -> str:
    """The tape's part of an error just said, in rows: ", ± 1 of it from the tape"; nothing where it is not known."""
    return "" if rows is None else f", ± {half_up(rows) if rows >= 0.95 else round(rows, 1):g} of it from the tape"
