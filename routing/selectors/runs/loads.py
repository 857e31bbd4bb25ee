"""A load and its drops as the load sheet, the load card and the day page show them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import floor

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from inventory.core.local_measures import bare_here, measure_words
from inventory.core.rows import from_row
from inventory.core.sentences import Sentence
from inventory.selectors.sale import plan_weights
from inventory.selectors.spoken import reader_language
from orders.core.payments import Balance
from orders.selectors.money import balances
from routing.core.box import LoadLine, fill_of
from routing.core.day_clock import HaltTimes
from routing.core.rigs import Rig as RigValue
from routing.core.rigs import weigh
from routing.core.securing import Piece, tie_downs_needed, tongue_lb
from routing.maps.woodpiles import log_row, weight_beam, woodpile
from routing.models import Fill, Load, RoadLimit, Shut, Stop
from routing.selectors.rigs import rig_value
from routing.selectors.runs.drops import DropView, drop_view, parts_of
from routing.selectors.runs.load_cautions import LoadCaution, Posted, length_of, load_cautions
from routing.selectors.runs.load_lines import in_bed, lines_of, lots_of, parcel_of

TICKS = (
    ("straps", gettext_noop("Straps tight, {straps} at least")),
    ("tarp", gettext_noop("Tarp on")),
    ("lights", gettext_noop("Lights and chains")),
    ("top", gettext_noop("No loose pieces on top")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FillView(HaltTimes):
    """A halt at a yard, where a load or a part of it is put on."""

    yard_id: int
    yard: str
    lat: float
    lon: float
    note: str
    has_signal: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadView:
    """One load: what goes on first, how full, how heavy, what to look out for. fills: its yards in order."""

    id: int
    sequence: int
    fills: tuple[FillView, ...]
    cords: Fraction
    bundles: int
    weight_lb: int
    whole_rig_lb: int
    tongue_lb: int
    lines: tuple[LoadLine, ...]
    lots: tuple[tuple[str, str, Fraction, int], ...]  # code, name, cords, bundles
    box_share: Fraction
    pile_svg: str
    row_svg: str
    beam_svg: str
    cautions: tuple[LoadCaution, ...]
    ticks: tuple[tuple[str, Sentence, bool], ...]
    is_loaded: bool
    is_too_heavy: bool
    drops: tuple[DropView, ...]

    @property
    def first_fill(self) -> FillView:
        return self.fills[0]

    @property
    def yards(self) -> tuple[str, ...]:
        """Where it is filled, in order."""
        return tuple(fill.yard for fill in self.fills)

    @property
    def bed_bundles(self) -> int:
        """Bundles that ride in the pickup's bed beside the trailer."""
        return sum(drop.bed_bundles for drop in self.drops)

    @property
    def open_drops(self) -> tuple[DropView, ...]:
        return tuple(drop for drop in self.drops if drop.is_open)

    @property
    def is_done(self) -> bool:
        return not self.open_drops


def loads_with_all() -> QuerySet[Load]:
    """Loads with what their views read; constant queries however many there are."""
    drops = Stop.objects.select_related("order__customer", "order__place__town", "lot").order_by("sequence")
    return Load.objects.select_related("yard", "run__rig", "run__day").prefetch_related(
        Prefetch("stops", queryset=drops), "events", "more_fills__yard"
    )


def load_views(rows: Iterable[Load], *, on: date) -> tuple[LoadView, ...]:
    """Views of loads read with `loads_with_all`, in their order."""
    loads = list(rows)
    orders = {stop.order_id: stop.order for load in loads for stop in load.stops.all()}
    money = balances({key: order.total_dollars for key, order in orders.items()})
    parts = parts_of(orders, on)
    limits = list(RoadLimit.objects.order_by("name"))
    lots = {stop.lot_id for load in loads for stop in load.stops.all() if stop.lot_id}
    weights = plan_weights(on, lots) if lots else {}
    chains = _chains_on(on)
    return tuple(_load(load, money, parts, limits, weights, chains) for load in loads)


def _load(
    load: Load,
    money: Mapping[int, Balance],
    parts: Mapping[int, int],
    limits: list[RoadLimit],
    weights: Mapping[int, float],
    chains: Mapping[int, Posted],
) -> LoadView:
    rig = rig_value(load.run.rig)
    stops = list(load.stops.all())
    in_box = [stop for stop in stops if stop.cords or stop.bundles > stop.bed_bundles]
    parcels = [parcel_of(stop, rig, weights) for stop in in_box]
    fill = fill_of(rig, parcels)
    bed_ft3, bed_lb = in_bed(stops, weights)
    is_loaded = any(event.kind == "loaded" for event in load.events.all())
    drops = tuple(drop_view(stop, money, parts) for stop in stops)
    weight_lb = load.weight_lb
    if not is_loaded and any(drop.is_open for drop in drops):  # read wetter since it was planned
        weight_lb = max(weight_lb, floor(sum(parcel.lb for parcel in parcels)) + bed_lb)
    box_lb = max(0, weight_lb - bed_lb)
    weighed = weigh(rig, wood_lb=box_lb, bed_wood_lb=weight_lb - box_lb)
    bundles = sum(stop.bundles for stop in stops)
    boxed = bundles - sum(stop.bed_bundles for stop in stops)
    text = _box_words(rig, float(load.loose_ft3) - float(bed_ft3), boxed)
    lines = lines_of(rig, parcels)
    pieces = [
        Piece(from_ft=float(line.from_ft), to_ft=float(line.to_ft), lb=parcel.lb)
        for line, parcel in zip(lines, reversed(parcels), strict=True)
    ]
    on_ball = tongue_lb(rig, pieces)
    straps = tie_downs_needed(length_ft=length_of(pieces), lb=box_lb)
    towns = {stop.order.place.town_id for stop in stops if stop.order.place}
    ticked = set(load.ticks)
    language = reader_language()
    return from_row(
        LoadView,
        load,
        fills=(_fill(load), *(_fill(row) for row in load.more_fills.all())),
        bundles=bundles,
        weight_lb=weight_lb,
        whole_rig_lb=round(weighed.whole_rig_lb),
        tongue_lb=round(weighed.tongue_lb if on_ball is None else on_ball),
        lines=lines,
        lots=lots_of(stops),
        box_share=fill.box_share,
        pile_svg=woodpile(
            key=f"box-{load.pk}",
            share=fill.box_share,
            title=_("Load %(number)s: the box") % {"number": load.sequence},
            label=text,
            language=language,
        ),
        row_svg=log_row(share=float(fill.box_share), title=text),
        beam_svg=weight_beam(
            key=f"lb-{load.pk}",
            lb=box_lb,
            limit_lb=rig.payload_lb,
            title=_("Load %(number)s: the weight") % {"number": load.sequence},
            language=language,
        ),
        cautions=load_cautions(
            load,
            fill,
            rig,
            limits,
            box_lb=box_lb,
            bed_lb=weight_lb - box_lb,
            pieces=pieces,
            chains=[posted for town, posted in chains.items() if town in towns],
        ),
        ticks=tuple((key, Sentence(label, {"straps": straps}), key in ticked) for key, label in TICKS),
        is_loaded=is_loaded,
        is_too_heavy=box_lb > rig.payload_lb,
        drops=drops,
    )


def _fill(row: Load | Fill) -> FillView:
    yard = row.yard
    return from_row(
        FillView,
        row,
        yard=yard.name,
        lat=yard.lat,
        lon=yard.lon,
        note=yard.note,
        has_signal=yard.has_signal,
    )


def _chains_on(on: date) -> dict[int, Posted]:
    """Towns whose road asks for chains on the day, each with what is posted and its hours."""
    rows = Shut.objects.filter(kind=Shut.Kind.CHAIN, from_on__lte=on, to_on__gte=on).select_related("town")
    return {
        row.town_id: Posted(what=row.what, town=str(row.town), hours=_hours_of(row))
        for row in rows
        if row.town_id
    }


def _hours_of(row: Shut) -> str:
    if row.from_time is None or row.to_time is None:
        return ""
    return f", {row.from_time:%-I:%M %p} to {row.to_time:%-I:%M %p}".lower()


def _box_words(rig: RigValue, loose_ft3: float, bundles: int) -> str:
    share = round(loose_ft3 / float(rig.box_ft3) * 100)
    gaps = {"share": share, "loose": bare_here(loose_ft3, "ft3"), "most": measure_words(rig.box_ft3, "ft3")}
    text = _("%(share)s%% of the box, %(loose)s of %(most)s loose") % gaps
    if not bundles:
        return text
    return f"{text}, {ngettext('%(count)s bundle', '%(count)s bundles', bundles) % {'count': bundles}}"
