"""What one load of wood is worth by three guesses: dollars an hour, its range, and what to measure next."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from routing.earned.guesses import Guess, HourGuesses, Simulated, WageRange, simulated, wage_range

SEED, DRAWS = 7, 4_000


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadGuesses:
    """A load as somebody who only looked at it guesses it.

    Units
        cords: stacked cords; price: dollars a cord; hours: all people together; costs: dollars of cash out.
    """

    cords: Guess
    price: Guess
    hours: Guess
    costs: Guess


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWorth:
    """Dollars an hour: likely, eight of ten outcomes, worst to best. measure: what moves it most."""

    per_hour: WageRange
    simulated: Simulated
    left: tuple[Decimal, Decimal, Decimal]  # dollars after costs: worst, likely, best
    measure: str


def load_worth(guesses: LoadGuesses) -> LoadWorth:
    """A load's worth.

    Errors
        BadGuess: no hours at all.
    """
    both = _hour_guesses(guesses)
    revenue, costs = both.revenue, both.expenses
    return LoadWorth(
        per_hour=wage_range(both),
        simulated=simulated(both, seed=SEED, draws=DRAWS),
        left=(
            revenue.low - costs.high,
            revenue.likely - costs.likely,
            revenue.high - costs.low,
        ),
        measure=_measure(guesses),
    )


def _measure(guesses: LoadGuesses) -> str:
    """The one guess whose ends move dollars an hour most, the others at their likely."""
    moves = {name: _move(guesses, name) for name in ("cords", "price", "hours", "costs")}
    name = max(moves, key=lambda key: moves[key])
    return name if moves[name] > 0 else ""


def _move(guesses: LoadGuesses, name: str) -> Decimal:
    alone = LoadGuesses(
        **{key: getattr(guesses, key) if key == name else _sure(getattr(guesses, key)) for key in _names()}
    )
    found = wage_range(_hour_guesses(alone))
    return found.best - found.worst


def _names() -> Iterable[str]:
    return LoadGuesses.__dataclass_fields__


def _sure(guess: Guess) -> Guess:
    return Guess.known(guess.name, guess.likely)


def _hour_guesses(guesses: LoadGuesses) -> HourGuesses:
    cords, price = guesses.cords, guesses.price
    revenue = Guess(
        name="price",
        low=cords.low * price.low,
        likely=cords.likely * price.likely,
        high=cords.high * price.high,
    )
    return HourGuesses(hours=(guesses.hours,), revenue=revenue, expenses=guesses.costs)
