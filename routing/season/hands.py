"""This week's hours given to people: each piece to as few as can be, nobody pressed more than another.

All hours count in tenths, as the page shows them, so that what people are given adds up to the work.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from routing.season.lines import TENTH
from routing.season.people import offered
from routing.season.problem import Season, Step
from routing.season.whole import best_whole

PRESSED = 1000  # parts of somebody's hours that are given away
A_HAND_MORE = 10 * PRESSED  # of two ways, the one with fewer people at a piece of work
TOO_MUCH = 1000 * A_HAND_MORE  # a tenth of an hour more than somebody has: only where rounding asks for it
ROUNDING = 1e-6


class Piece(NamedTuple):
    """Work to be handed out, its hours in tenths. only: the person, by number, whose it is already."""

    step: Step
    tenths: int
    only: int | None = None


def hand_out(season: Season, work: Sequence[Piece]) -> dict[tuple[int, int], int]:
    """Tenths of an hour by (person, piece), both by their number; equal input gives equal hands.

    Nobody is given a step they do not do, nor more of a step than its closures leave them; rounding may ask
    for a tenth more than somebody has, and what is somebody's already for as much as it takes. What nobody
    does is given to nobody.
    """
    model, given = _Model(), {}
    most = sum(piece.tenths for piece in work)
    pressed = model.number((most + 1) * PRESSED, cost=1)
    for who, (person, hours) in enumerate(zip(season.people, offered(season, 0), strict=True)):
        for what, piece in enumerate(work):
            if piece.step in person.steps and piece.only in (None, who):
                given[who, what] = own = model.number(piece.tenths)
                model.row([(own, 1), (model.number(1, cost=A_HAND_MORE), -piece.tenths)], most=0)
        mine = {what: given[who, what] for what in range(len(work)) if (who, what) in given}
        too_much, has = model.number(most, cost=TOO_MUCH), _tenths(hours)
        model.row([*((own, 1) for own in mine.values()), (too_much, -1)], most=has)
        model.row([*((own, PRESSED) for own in mine.values()), (pressed, -max(has, 1))], most=0)
        for step in season.allowed:
            these = [(own, 1) for what, own in mine.items() if work[what].step == step]
            model.row([*these, (too_much, -1)], most=_tenths(hours * season.share_allowed(step, 0)))
    for what, piece in enumerate(work):
        hands = [(own, 1) for (_, of), own in given.items() if of == what]
        if hands:
            model.row(hands, least=piece.tenths, most=piece.tenths)
    found = best_whole(model.proto)
    assert found is not None  # whoever does a step may be given too much of it
    return {key: found[own] for key, own in given.items() if found[own]}


def _tenths(hours: float) -> int:
    return int(max(hours, 0.0) / TENTH + ROUNDING)


class _Model:
    """Whole numbers from 0 up, each with what one costs, and rows of them."""

    def __init__(self) -> None:
        from ortools.sat.python import cp_model_helper as sat  # 45 MB: only where a season is planned

        self.proto: Any = sat.CpModelProto()
        self._numbers = 0

    def number(self, high: int, *, cost: int = 0) -> int:
        self.proto.variables.add().domain.extend([0, high])
        self._numbers += 1
        if cost:
            self.proto.objective.vars.append(self._numbers - 1)
            self.proto.objective.coeffs.append(cost)
        return self._numbers - 1

    def row(self, terms: Iterable[tuple[int, int]], *, most: int, least: int | None = None) -> None:
        pairs = [*terms]
        linear = self.proto.constraints.add().linear
        linear.vars.extend([number for number, _ in pairs])
        linear.coeffs.extend([factor for _, factor in pairs])
        linear.domain.extend([-(2**40) if least is None else least, most])
