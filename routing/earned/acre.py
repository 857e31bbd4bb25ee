"""The acre sheet: what a thinned unit earned, with and without cost-share and slash work, and against
paying someone to thin it. Firewood and slash hours are kept apart, because only one of them sells.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.core.local import in_local_units, whole_money
from inventory.core.local_measures import figure_here
from inventory.core.money import dollars
from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError


class BadAcre(FramedRefusal, RoutingError):
    """An acre sheet that cannot be reckoned."""

    frame = "The acre sheet cannot be worked out: {problem}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Thinning:
    """What a unit gave and took.

    Units
        dollars; hours; acres. cash, hours: all of it, slash included; slash_cash, slash_hours: the part
        that went into slash. hire_per_acre: what someone else would charge to thin and clean up, 0 unknown.
        hire_cost_share: whether the cost-share would also be paid on hired work.
    """

    name: str
    acres: Fraction
    wood_revenue: Decimal
    hours: Fraction
    cash: Decimal
    saw_logs: Decimal = Decimal(0)
    cost_share: Decimal = Decimal(0)
    slash_hours: Fraction = Fraction(0)
    slash_cash: Decimal = Decimal(0)
    hire_per_acre: Decimal = Decimal(0)
    hire_cost_share: bool = True

    def __post_init__(self) -> None:
        if self.acres <= 0:
            raise BadAcre("the unit {unit} has no acres; measure it on the unit page", unit=self.name)
        if self.hours < 0 or self.cash < 0 or self.cost_share < 0 or self.hire_per_acre < 0:
            raise BadAcre("the unit {unit} has hours or money below zero", unit=self.name)
        if not 0 <= self.slash_hours <= self.hours or not 0 <= self.slash_cash <= self.cash:
            raise BadAcre("more went into the slash of {unit} than into the whole of it", unit=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class AcreLine:
    """The unit reckoned one way.

    Units
        net: dollars; hours; left_after_wages: dollars once the hours are paid at the target wage.
    """

    with_cost_share: bool
    with_slash: bool
    net: Decimal
    hours: Fraction
    acres: Fraction
    target_wage: Decimal

    @property
    def net_per_acre(self) -> Decimal:
        """Net dollars an acre."""
        return dollars(Fraction(self.net) / self.acres)

    @property
    def per_hour(self) -> Decimal | None:
        """Net dollars an hour; None when no hours were written down."""
        return dollars(Fraction(self.net) / self.hours) if self.hours > 0 else None

    @property
    def left_after_wages(self) -> Decimal:
        """Net dollars once every hour is paid."""
        return dollars(Fraction(self.net) - Fraction(self.target_wage) * self.hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class AcreSheet:
    """A unit's four lines, the hired alternative, and one sentence.

    Units
        hired_net: dollars if someone else had thinned it (below zero: it would have cost that much), None
        when no price is known; better_than_hired: dollars by which doing it yourself, hours paid, comes out
        ahead of it, cost-share counted on both sides where it would be paid.
    """

    lines: tuple[AcreLine, ...]
    hired_net: Decimal | None
    better_than_hired: Decimal | None
    verdict: str
    is_untouched: bool

    def line(self, *, with_cost_share: bool, with_slash: bool = True) -> AcreLine:
        """One of the four lines."""
        return next(
            line
            for line in self.lines
            if line.with_cost_share == with_cost_share and line.with_slash == with_slash
        )


def acre_sheet(thinning: Thinning, *, target_wage: Decimal, is_unsold: bool = False) -> AcreSheet:
    """The unit with and without cost-share, with and without slash, and against hiring it out.

    is_unsold: some of its wood still lies there and is counted at its likely price.
    """
    lines = tuple(
        _line(thinning, target_wage=target_wage, with_cost_share=shared, with_slash=slash)
        for shared in (False, True)
        for slash in (True, False)
    )
    hired = better = None
    if thinning.hire_per_acre > 0:
        paid = thinning.cost_share if thinning.hire_cost_share else Decimal(0)
        hired = dollars(Fraction(paid) - Fraction(thinning.hire_per_acre) * thinning.acres)
        better = lines[2].left_after_wages - hired
    return AcreSheet(
        lines=lines,
        hired_net=hired,
        better_than_hired=better,
        is_untouched=_is_untouched(thinning),
        verdict=_verdict(
            thinning,
            without=lines[0].left_after_wages,
            shared=lines[2].left_after_wages,
            is_unsold=is_unsold,
        ),
    )


def _line(thinning: Thinning, *, target_wage: Decimal, with_cost_share: bool, with_slash: bool) -> AcreLine:
    income = thinning.wood_revenue + thinning.saw_logs
    if with_cost_share:
        income += thinning.cost_share
    cash = thinning.cash if with_slash else thinning.cash - thinning.slash_cash
    return AcreLine(
        with_cost_share=with_cost_share,
        with_slash=with_slash,
        net=dollars(income - cash),
        hours=thinning.hours if with_slash else thinning.hours - thinning.slash_hours,
        acres=thinning.acres,
        target_wage=target_wage,
    )


def _is_untouched(thinning: Thinning) -> bool:
    """Whether nothing was worked, spent or sold there."""
    return not (thinning.hours or thinning.cash or thinning.wood_revenue or thinning.saw_logs)


def _verdict(thinning: Thinning, *, without: Decimal, shared: Decimal, is_unsold: bool) -> str:
    if _is_untouched(thinning):
        return "Nothing is done here yet."
    told = "Once the rest is sold, the wood pays for" if is_unsold else "The wood paid for"
    left, fell = ("leaves", "falls") if is_unsold else ("left", "fell")
    if without >= 0:
        return f"{told} the thinning and {left} {_whole(without)}."
    if shared >= 0 and thinning.cost_share > 0:
        return f"With the cost-share {told[0].lower()}{told[1:]} the thinning and {left} {_whole(shared)}."
    short = -shared if thinning.cost_share > 0 else -without
    each = _whole(figure_here(Fraction(short) / thinning.acres, "by_acre"))
    helped = ", cost-share included" if thinning.cost_share > 0 else ""
    return (
        f"{told} part of the thinning: it {fell} {_whole(short)} short of your wage, "
        f"{each} {in_local_units('an acre')}{helped}."
    )


def _whole(dollars: Decimal) -> str:
    return whole_money(dollars)
