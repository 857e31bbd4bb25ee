"""The season planned and kept; the seller's guesses about it."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from routing.models import SeasonGuesses, SeasonOutlook
from routing.season.advice import advise
from routing.season.answer import answer_of, october_of
from routing.season.policies import as_last_year, follow_plan, green_now
from routing.season.questions import price_effects, reliefs
from routing.season.scenarios import likely_scenario
from routing.season.simulate import live
from routing.selectors.season.season_problem import season_asked


def plan_season(*, on: date, at: datetime, seed: int = 1) -> SeasonOutlook:
    """Work the season out from a day on and keep the answer; a few seconds, nothing written meanwhile.

    Errors
        NothingToPlan: no price sheet or no yard. SeasonProblemError: the figures contradict each other.
    """
    asked = season_asked(on)
    advice = advise(asked.season, seed=seed, dry_by=october_of(asked.starts))
    likely = likely_scenario(asked.season)
    ways = {"plan": follow_plan, "habit": as_last_year, "green": green_now}
    lived = {name: live(asked.season, likely, way).money for name, way in ways.items()}
    answer = answer_of(
        advice,
        asked.season,
        starts=asked.starts,
        names=asked.names,
        rests_on=asked.rests_on,
        lived=lived,
        prices=price_effects(asked.season, asked.elasticity),
        relief=reliefs(asked.season),
    )
    row, _ = SeasonOutlook.objects.update_or_create(week_on=on, defaults={"made_at": at, "answer": answer})
    return row


@transaction.atomic
def guess_season(*, guesses: dict[str, Decimal | int | str | bool | None]) -> None:
    """Keep what the seller guesses, one row.

    Errors
        ValidationError: a guess out of its range.
    """
    row = SeasonGuesses.objects.first() or SeasonGuesses()
    for name, value in guesses.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
