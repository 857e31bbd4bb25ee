"""What covering, splitting, spreading or moving a lot would gain, told as days and as a chance."""

from dataclasses import dataclass
from datetime import date

from inventory.core.climate import Climate
from inventory.core.drying import Drying, Forecast, drying_share, forecast, from_now
from inventory.core.moisture import READY_DRY_PCT

SPREAD_OUT = "low_heap"
IN_THE_SUN = "sun_row"
CROWDED = ("deep_or_shade",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """One thing to do and what it gains.

    Units
        days: by how many days the likely date comes forward, None when it is dry on neither or only one side
        of the horizon; chance_before, chance_after: of being dry by the day asked about.
    """

    what: str
    words: str
    likely_before: date | None
    likely_after: date | None
    days: int | None
    chance_before: float
    chance_after: float

    @property
    def is_worth_telling(self) -> bool:
        """A likely date a week sooner, or one more lot in ten dry in time."""
        sooner = self.days is not None and self.days >= 7
        return sooner or self.chance_after - self.chance_before >= 0.1


def gain(what: str, words: str, *, as_is: Forecast, changed: Drying, by: date) -> Gain:
    """One change against leaving things as they are, to the same limit."""
    after = forecast(changed, limit_pct=as_is.limit_pct)
    days = (as_is.likely - after.likely).days if as_is.likely and after.likely else None
    return Gain(
        what=what,
        words=words,
        likely_before=as_is.likely,
        likely_after=after.likely,
        days=days,
        chance_before=as_is.chance_dry_by(by),
        chance_after=after.chance_dry_by(by),
    )


def gains(
    drying: Drying,
    *,
    on: date,
    by: date,
    exposure: str,
    form: str,
    other_yards: tuple[tuple[str, Climate], ...] = (),
    limit_pct: float = READY_DRY_PCT,
) -> tuple[Gain, ...]:
    """Everything that could be done to a lot today, best first.

    Shapes
        by: the day it should be dry, such as the first rain or a delivery; exposure and form: as in
        climate.toml, what `drying.share` was made of; other_yards: name and climate of each; limit_pct: the
        mean at which the lot counts as dry, lower where its worst face lags.
    """
    as_is = forecast(from_now(drying, on), limit_pct=limit_pct)
    options: list[tuple[str, str, Drying]] = []

    def with_share(new_exposure: str, new_form: str) -> Drying:
        # the seller's own share is kept in proportion
        usual = drying_share(exposure=exposure, form=form).value
        new = drying_share(exposure=new_exposure, form=new_form).value
        return from_now(drying, on, share=drying.share * new / usual)

    if drying.rain_share < 1:
        options.append(("cover", "cover its top", from_now(drying, on, rain_share=1.0)))
    if form in ("rounds", "logs"):
        options.append(("split", "split it", with_share(exposure, "splits")))
    if exposure in CROWDED:
        options.append(("spread", "spread it into a low heap", with_share(SPREAD_OUT, form)))
    if exposure != IN_THE_SUN:
        options.append(("stack", "stack it in a single row in the sun", with_share(IN_THE_SUN, form)))
    options += [
        (f"move:{name}", f"move it to {name}", from_now(drying, on, climate=air)) for name, air in other_yards
    ]
    found = [gain(what, words, as_is=as_is, changed=changed, by=by) for what, words, changed in options]
    return tuple(sorted(found, key=lambda option: (-option.chance_after, -(option.days or 0), option.what)))
