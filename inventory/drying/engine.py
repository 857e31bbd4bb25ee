"""One heap through its weather: the core of its pieces, and the water on their surface.

Core: dM/dt = -(M - B)/tau, with B between the air's equilibrium, fiber saturation under a wet surface and
the ground's moisture. tau is that of a piece alone (diameter, species, bark, end grain) plus what the heap
around it adds, over the drying power of the day's air: the air between pieces must carry off the water.
Rain needs no air to come in: under its film wood below saturation wets as fast as a piece alone would.
Surface: a film that rain fills where it reaches the wood and the air dries. Every day is a dry, a raining
and a dry stretch; within a stretch both are solved exactly, so that cutting the stretches finer changes
nothing that matters.

Sources
    fixtures/reference/drying/README.md sections 2, 5 and 6; figures in drying.toml.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from inventory.core import InventoryError
from inventory.core.moisture import equilibrium_of_air
from inventory.core.sentences import FramedRefusal
from inventory.drying.parameters import MEMBERS, drawn, figure
from inventory.drying.weather import HUMIDITY, RAIN, RAIN_HOURS, SUN, TEMP, WIND, Weather

type Floats = NDArray[np.float64]

HEAPS = ("open", "stickered", "spread", "row", "low_heap", "deep_heap")
COVERS = ("bare", "top", "roof")
MM_PER_INCH = 25.4
SATURATED_HUMIDITY = 99.0
SUMMER_PRESSURE_MMHG = 17.5  # saturation at 68 F
LEAST_DEFICIT_KPA = 0.02
CALM_M_S = 0.3
SLOW_DAYS = 2.0  # pieces slower than this see a day as one
WIND_AT_HEAP = 0.25  # of the station's wind, among stacked wood (estimate; the sticks' own wind is given)


class BadDrying(FramedRefusal, InventoryError):
    """Wood whose drying cannot be worked out."""

    frame = "The drying of this wood can't be worked out: {problem}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heap:
    """Pieces and how they lie.

    Units
        gravity: green specific gravity; size_in: width of a split, diameter of a round, thickness of a board;
        length_in: None = long logs, whose ends do not count.
    """

    gravity: float
    is_softwood: bool
    shape: str  # "split", "round", "board"
    size_in: float
    length_in: float | None
    has_bark: bool
    lies: str
    cover: str
    own_rate: float = 1.0  # the seller's own correction: 2 = twice as quick

    def __post_init__(self) -> None:
        if self.lies not in HEAPS:
            raise BadDrying(
                "{lies!r} is no way wood lies. Use one of {heaps}.", lies=self.lies, heaps=", ".join(HEAPS)
            )
        if self.cover not in COVERS:
            raise BadDrying(
                "{cover!r} is no cover. Use one of {covers}.", cover=self.cover, covers=", ".join(COVERS)
            )
        if self.shape not in ("split", "round", "board"):
            raise BadDrying("{shape!r} is no form of a piece. Use split or round.", shape=self.shape)
        if not 0.1 <= self.size_in <= 60:
            raise BadDrying("pieces {size_in:g} inches across. Give 0.1 to 60 inches.", size_in=self.size_in)
        if self.length_in is not None and not 1 <= self.length_in <= 1000:
            raise BadDrying(
                "pieces {length_in:g} inches long. Give 1 to 1000 inches.", length_in=self.length_in
            )
        if not 0.1 <= self.gravity <= 1.4 or not 0 < self.own_rate <= 20:
            raise BadDrying("its specific gravity or its own rate is out of range.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Response:
    """A heap's answer to each day of its weather, by scenario and member.

    Shapes
        all days x scenarios x members. keep, gain: the core at the day's end is keep x that of its morning
        + gain; keep_mean, gain_mean: likewise its mean over the day; soak: the share of what then lacks to
        fiber saturation that rain fills; surface_mean: points of water on the surface, mean of the day.
    """

    keep: Floats
    gain: Floats
    keep_mean: Floats
    gain_mean: Floats
    soak: Floats
    surface_mean: Floats

    def follow(self, morning: Floats) -> tuple[Floats, Floats]:
        """The core's mean of each day, and what the last day leaves.

        Shapes
            morning: scenarios x members x starts, of the first day; mean: days before those.
        """
        core = np.empty((len(self.keep), *morning.shape))
        saturation = figure("surface.saturation").value
        for day, mean in enumerate(core):
            np.multiply(morning, self.keep_mean[day][..., None], out=mean)
            mean += self.gain_mean[day][..., None]
            morning = morning * self.keep[day][..., None] + self.gain[day][..., None]
            morning += self.soak[day][..., None] * np.maximum(saturation - morning, 0)
        return core, morning


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Stretches:
    """Each day's dry, raining and dry stretch: 3 x days rows, scenarios wide."""

    length: Floats
    film_mean: Floats

    def by_day(self, rows: int) -> "_Stretches":
        """The same with each day's stretches put together, for wood that hardly changes within a day."""
        whole = (len(self.length) // rows, rows, self.length.shape[1])
        mean = (self.film_mean * self.length).reshape(whole).sum(axis=1)
        return _Stretches(length=np.ones_like(mean), film_mean=mean)


def piece_days(heap: Heap, members: int = MEMBERS) -> Floats:
    """Days of a piece alone times the drying power of its air, for every member."""
    across = heap.size_in * (figure("piece.slab").value if heap.shape == "board" else 1.0)
    days = across ** figure("piece.exponent").value * drawn("piece.fit", "piece", members)
    if heap.is_softwood:
        days = days * drawn("species.softwood", "species", members)
    else:
        dense = (_gravity(heap, members) / figure("species.hardwood_gravity").value) ** 3
        days = days * drawn("species.hardwood", "species", members) * dense
    if heap.shape == "split":
        days = days * drawn("bark.split", "bark", members)
    elif heap.has_bark:
        days = days * drawn("bark.round", "bark", members)
    if heap.length_in is not None:
        ends = (across / heap.length_in) ** 2 / drawn("piece.end_grain", "end_grain", members)
        days = days / (1 + np.minimum(ends, 3.0))
    return np.asarray(days / heap.own_rate, dtype=np.float64)


def heap_days(heap: Heap, members: int = MEMBERS) -> Floats:
    """What the heap adds: it must carry off the pieces' water, more of it from dense wood."""
    added = drawn(f"heap.{heap.lies}", "heap", members)
    if heap.cover == "roof":
        added = added * figure("heap.roofed").value
    dense = _gravity(heap, members) / figure("species.softwood_gravity").value
    return np.asarray(added * dense / heap.own_rate, dtype=np.float64)


def _gravity(heap: Heap, members: int) -> Floats:
    """Specific gravity of the wood itself: stands of a kind lie about what is printed of it."""
    return heap.gravity * drawn("species.gravity", "gravity", members)


def drying_power(weather: Weather) -> Floats:
    """1/day at one inch, by saturation pressure (Antoine's equation, mmHg); days x scenarios."""
    pressure = 10 ** (8.07131 - 1730.63 / (233.426 + weather.values[..., TEMP]))
    return np.asarray(figure("piece.still").value + figure("piece.per_mmhg").value * pressure)


def vapor_uptake(weather: Weather) -> Floats:
    """What the air takes out of a heap, by vapor deficit and wind; as `drying_power` at 68 F and 60%.

    The piece's own power hardly falls in a damp winter; what the air between pieces can carry off does.
    """
    usual = figure("piece.still").value + figure("piece.per_mmhg").value * SUMMER_PRESSURE_MMHG
    lacking = np.maximum(_vapor_deficit(weather), LEAST_DEFICIT_KPA) / figure("heap.deficit").value
    breeze = np.maximum(weather.values[..., WIND], CALM_M_S) / figure("heap.wind_mean").value
    return np.asarray(usual * lacking * breeze ** figure("heap.wind_power").value, dtype=np.float64)


@lru_cache(maxsize=256)
def equilibrium(weather: Weather) -> Floats:
    """Moisture wood comes to in each day's air, % dry basis; days x scenarios."""
    temp_f = weather.values[..., TEMP] * 1.8 + 32
    return equilibrium_of_air(temp_f, np.minimum(weather.values[..., HUMIDITY], SATURATED_HUMIDITY))


def respond(heap: Heap, weather: Weather, *, members: int = MEMBERS, parts: int = 1) -> Response:
    """The heap's moisture through the weather, a day at a time; its surface begins dry.

    Shapes
        parts: each stretch of a day cut in so many.
    """
    days, scenarios = weather.values.shape[:2]
    wet_share = _wet_share(heap, members)
    power = drying_power(weather)
    alone = piece_days(heap, members)
    stretches, rows = _stretches(weather, heap.lies == "open", heap.cover == "roof", parts), 3 * parts
    if float(alone.min()) / float(power.max()) > SLOW_DAYS and parts == 1:
        stretches, rows = stretches.by_day(rows), 1
    wet = stretches.film_mean[:, :, None] * wet_share
    air = np.repeat(equilibrium(weather), rows, axis=0)[:, :, None]
    ground = drawn(f"ground.{heap.lies}", "ground", members) if heap.cover != "roof" else 0.0
    towards = air + (figure("surface.saturation").value - air) * wet
    towards += np.maximum(figure("ground.moisture").value - towards, 0) * ground
    quickest = power[:, :, None] / alone
    per_day = 1 / (1 / quickest + heap_days(heap, members) / vapor_uptake(weather)[:, :, None])
    shape = (days, rows, scenarios, -1)
    share = stretches.length.reshape(days, rows, scenarios, 1)
    towards, wet = towards.reshape(shape), wet.reshape(shape)
    keep, gain = np.ones_like(per_day), np.zeros_like(per_day)
    keep_mean, gain_mean = np.zeros_like(per_day), np.zeros_like(per_day)
    for row in range(rows):
        spent = per_day * share[:, row]
        left = np.exp(-spent)
        mean_left = (1 - left) / spent  # over a stretch
        keep_mean += share[:, row] * keep * mean_left
        gain_mean += share[:, row] * (towards[:, row] + (gain - towards[:, row]) * mean_left)
        keep = keep * left
        gain = gain * left + towards[:, row] * (1 - left)
    wet_mean = (wet * share).sum(axis=1)
    return Response(
        keep=keep,
        gain=gain,
        keep_mean=keep_mean,
        gain_mean=gain_mean,
        soak=1 - np.exp(-wet_mean * (quickest - per_day)),
        surface_mean=wet_mean * _film_points(heap),
    )


def _wet_share(heap: Heap, members: int) -> Floats | float:
    """Share of the wood that rain wets; a cover leaves a share of a bare heap's."""
    bare = drawn(f"rain.{heap.lies}", "rain", members)
    if heap.cover == "bare":
        return np.minimum(bare, 1.0)
    return np.minimum(bare, 1.0) * drawn(f"rain.{heap.cover}", "rain", members)


def _film_points(heap: Heap) -> float:
    """Points of moisture in a full film on a piece: its surface over its oven-dry weight."""
    across_m = heap.size_in * MM_PER_INCH / 1000
    return 100 * 4 * figure("surface.film").value / (heap.gravity * 1000 * across_m)


@lru_cache(maxsize=32)
def _stretches(weather: Weather, is_open: bool, is_roofed: bool, parts: int) -> _Stretches:
    """The film on what rain reaches, solved stretch by stretch; the same for every member."""
    values = weather.values
    days, scenarios = values.shape[:2]
    raining = np.where(values[..., RAIN] > 0, np.maximum(values[..., RAIN_HOURS], 0.5) / 24, 0.0)
    fill = np.where(
        raining > 0, figure("surface.fill").value * values[..., RAIN] / np.maximum(raining, 1e-9), 0
    )
    at_wood = values[..., WIND] * (1.0 if is_open else WIND_AT_HEAP)
    lacking = _vapor_deficit(weather)
    sun = 0.0 if is_roofed else figure("surface.sun").value * values[..., SUN] / 20
    dry = figure("surface.per_kpa").value * lacking * (1 + figure("surface.wind").value * at_wood) + sun
    dry = np.maximum(dry, 0.05)
    shape = (days * 3 * parts, scenarios)
    length, pull, target = np.empty(shape), np.empty(shape), np.empty(shape)
    for at in range(3):
        is_rain = at == 1
        lasts = raining if is_rain else (1 - raining) / 2
        speed = fill + dry * figure("surface.in_rain").value if is_rain else dry
        goal = fill / speed if is_rain else np.zeros_like(dry)
        for part in range(parts):
            rows = slice(at * parts + part, None, 3 * parts)
            length[rows], pull[rows], target[rows] = lasts / parts, speed, goal
    length = np.maximum(length, 1e-9)
    keep = np.exp(-pull * length)
    mean_keep = -np.expm1(-pull * length) / (pull * length)
    level = np.zeros(scenarios)
    mean = np.empty(shape)
    for row in range(len(length)):
        mean[row] = target[row] + (level - target[row]) * mean_keep[row]
        level = target[row] + (level - target[row]) * keep[row]
    return _Stretches(length=length, film_mean=mean)


def _vapor_deficit(weather: Weather) -> Floats:
    """kPa between the day's air and saturation (Tetens' equation)."""
    temp = weather.values[..., TEMP]
    saturated = 0.6108 * np.exp(17.27 * temp / (temp + 237.3))
    return np.asarray(saturated * (1 - weather.values[..., HUMIDITY] / 100), dtype=np.float64)
