"""A load and its drops as the load sheet, the load card and the day page show them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from math import ceil

from django.db.models import Prefetch, QuerySet

from inventory.models import Lot
from inventory.selectors.sale import plan_weights
from orders.core.payments import Balance
from orders.core.places import cautions_on
from orders.models import Order
from orders.selectors.money import balances
from routing.core.filling import Fill, LoadLine, Parcel, TooMuchWood, fill_of, load_lines
from routing.core.rigs import Rig as RigValue
from routing.core.rigs import weigh
from routing.core.woodpiles import weight_beam, woodpile
from routing.models import Load, RoadLimit, Stop
from routing.selectors.rigs import rig_value

STACKED_FT3 = 128
TICKS = (
    ("straps", "Straps tight"),
    ("tarp", "Tarp on"),
    ("lights", "Lights and chains"),
    ("top", "No loose pieces on top"),
)
NEAR_FULL = 0.97  # of the payload: worth a second look


@dataclass(frozen=True, slots=True, kw_only=True)
class DropView:
    """One drop as it is read in a cab."""

    id: int
    sequence: int
    number: int
    part: int
    parts: int
    order_state: str
    order_state_words: str
    customer: str
    phone: str
    is_landline: bool
    address: str
    town: str
    lat: float | None
    lon: float | None
    is_exact: bool
    gate_code: str
    drop_spot: str
    access_note: str
    note: str
    seller_note: str
    wood: str
    dryness: str
    cords: Fraction
    bundles: int
    stacked: bool
    small_rig_only: bool
    lot_code: str
    lot_name: str
    window_from: time
    window_to: time
    comes_from: time | None
    comes_to: time | None
    arrive_at: time | None
    begin_at: time | None
    leave_at: time | None
    leg_meters: int
    leg_seconds: int
    total: Decimal
    balance: Balance
    pay_how: str
    pay_first: bool
    pinned: bool
    state: str
    state_words: str
    done_at: datetime | None
    trouble: str
    is_known_buyer: bool

    @property
    def due(self) -> Decimal:
        return self.balance.due

    @property
    def is_open(self) -> bool:
        return self.state in ("planned", "arrived")

    @property
    def waits_minutes(self) -> int:
        """Minutes the rig waits for the window."""
        if self.arrive_at is None or self.begin_at is None:
            return 0
        return max(0, _minutes(self.begin_at) - _minutes(self.arrive_at))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadView:
    """One filling: what goes on first, how full, how heavy, what to look out for."""

    id: int
    sequence: int
    yard_id: int
    yard: str
    yard_lat: float
    yard_lon: float
    yard_note: str
    has_signal: bool
    arrive_at: time | None
    begin_at: time | None
    leave_at: time | None
    leg_meters: int
    leg_seconds: int
    cords: Fraction
    bundles: int
    loose_ft3: Decimal
    weight_lb: int
    payload_lb: int
    whole_rig_lb: int
    tongue_lb: int
    lines: tuple[LoadLine, ...]
    lots: tuple[tuple[str, str, Fraction, int], ...]  # code, name, cords, bundles
    box_share: Fraction
    weight_share: float
    pile_svg: str
    beam_svg: str
    cautions: tuple[str, ...]
    ticks: tuple[tuple[str, str, bool], ...]
    is_ticked: bool
    is_loaded: bool
    drops: tuple[DropView, ...]

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
        Prefetch("stops", queryset=drops), "events"
    )


def load_views(rows: Iterable[Load], *, on: date) -> tuple[LoadView, ...]:
    """Views of loads read with `loads_with_all`, in their order."""
    loads = list(rows)
    orders = {stop.order_id: stop.order for load in loads for stop in load.stops.all()}
    money = balances({key: order.total_dollars for key, order in orders.items()})
    parts = _parts_of(orders)
    limits = list(RoadLimit.objects.order_by("name"))
    lots = {stop.lot_id for load in loads for stop in load.stops.all() if stop.lot_id}
    weights = plan_weights(on, lots) if lots else {}
    return tuple(_load(load, money, parts, limits, weights) for load in loads)


def load_view(load_id: int) -> LoadView | None:
    """One load."""
    row = loads_with_all().filter(pk=load_id).first()
    return load_views([row], on=row.run.day.on)[0] if row else None


def _parts_of(orders: Mapping[int, Order]) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    for order_id in Stop.objects.filter(order__in=list(orders)).values_list("order_id", flat=True):
        found[order_id] += 1
    return found


def _load(
    load: Load,
    money: Mapping[int, Balance],
    parts: Mapping[int, int],
    limits: list[RoadLimit],
    weights: Mapping[int, float],
) -> LoadView:
    rig = rig_value(load.run.rig)
    stops = list(load.stops.all())
    parcels = [_parcel(stop, rig, weights) for stop in stops]
    fill = fill_of(rig, parcels)
    weighed = weigh(rig, wood_lb=load.weight_lb)
    bundles = sum(stop.bundles for stop in stops)
    words = _box_words(rig, load, bundles)
    ticked = set(load.ticks)
    return LoadView(
        id=load.pk,
        sequence=load.sequence,
        yard_id=load.yard_id,
        yard=load.yard.name,
        yard_lat=load.yard.lat,
        yard_lon=load.yard.lon,
        yard_note=load.yard.note,
        has_signal=load.yard.has_signal,
        arrive_at=load.arrive_at,
        begin_at=load.begin_at,
        leave_at=load.leave_at,
        leg_meters=load.leg_meters,
        leg_seconds=load.leg_seconds,
        cords=load.cords,
        bundles=bundles,
        loose_ft3=load.loose_ft3,
        weight_lb=load.weight_lb,
        payload_lb=rig.payload_lb,
        whole_rig_lb=round(weighed.whole_rig_lb),
        tongue_lb=round(weighed.tongue_lb),
        lines=_lines(rig, parcels),
        lots=_lots(stops),
        box_share=fill.box_share,
        weight_share=load.weight_lb / rig.payload_lb,
        pile_svg=woodpile(
            key=f"box-{load.pk}", share=fill.box_share, title=f"Load {load.sequence}: the box", said=words
        ),
        beam_svg=weight_beam(
            key=f"lb-{load.pk}",
            lb=load.weight_lb,
            limit_lb=rig.payload_lb,
            title=f"Load {load.sequence}: the weight",
        ),
        cautions=_cautions(load, fill, rig, limits),
        ticks=tuple((key, said, key in ticked) for key, said in TICKS),
        is_ticked={key for key, _ in TICKS} <= ticked,
        is_loaded=any(event.kind == "loaded" for event in load.events.all()),
        drops=tuple(_drop(stop, money, parts) for stop in stops),
    )


def _parcel(stop: Stop, rig: RigValue, weights: Mapping[int, float]) -> Parcel:
    """Bundles count by the room they take, as cords of this rig's loose wood."""
    lot = stop.lot
    bundle_ft3 = Fraction(lot.bundle_ft3 if lot and lot.bundle_ft3 else Decimal("0.75")) * stop.bundles
    each = weights.get(stop.lot_id or 0, 0.0)
    return Parcel(
        order=str(stop.order.number),
        customer=stop.order.customer.name,
        wood=_wood_words(stop),
        cords=stop.cords + bundle_ft3 / Fraction(rig.heap_number),
        lb=each * float(stop.cords + bundle_ft3 / STACKED_FT3),
    )


def _wood_words(stop: Stop) -> str:
    if stop.bundles and not stop.cords:
        return f"{stop.bundles} kindling bundles"
    if stop.lot is None:
        return f"{stop.order.dryness.replace('_', ' ')} {stop.order.wood}"
    return f"{stop.lot.name} ({stop.lot.code})"


def _lines(rig: RigValue, parcels: list[Parcel]) -> tuple[LoadLine, ...]:
    try:
        return load_lines(rig, parcels)
    except TooMuchWood as trouble:  # the bar and the caution say so; the order of loading is still wanted
        higher = ceil(trouble.wanted_ft3 / Fraction(rig.box_length_ft * rig.box_width_ft))
        tall = replace(rig, box_side_ft=rig.box_side_ft + higher)
        return load_lines(tall, parcels)


def _lots(stops: list[Stop]) -> tuple[tuple[str, str, Fraction, int], ...]:
    """What to take from which lot, added up."""
    sums: dict[tuple[str, str], tuple[Fraction, int]] = {}
    for stop in stops:
        lot: Lot | None = stop.lot
        key = (lot.code, lot.name) if lot else ("held lots", _wood_words(stop))
        cords, bundles = sums.get(key, (Fraction(0), 0))
        sums[key] = (cords + stop.cords, bundles + stop.bundles)
    return tuple((code, name, *amount) for (code, name), amount in sums.items())


def _box_words(rig: RigValue, load: Load, bundles: int) -> str:
    share = round(float(load.loose_ft3) / float(rig.box_ft3) * 100)
    words = f"{share} % of the box, {float(load.loose_ft3):.0f} of {float(rig.box_ft3):.0f} loose ft³"
    return f"{words}, {bundles} bundles" if bundles else words


def _cautions(load: Load, fill: Fill, rig: RigValue, limits: list[RoadLimit]) -> tuple[str, ...]:
    said = []
    if load.weight_lb > rig.payload_lb:
        said.append(
            f"Too heavy: {load.weight_lb:,} lb planned, {rig.payload_lb:,} lb allowed. Leave some behind."
        )
    elif load.weight_lb > rig.payload_lb * NEAR_FULL:
        said.append("Close to the payload. Wet wood may put it over: take a reading.")
    if fill.box_share > 1:
        said.append("More than the box holds heaped as usual.")
    whole = rig.empty_lb + load.weight_lb
    said += [
        f"{limit.name} is posted {limit.whole_rig_lb:,} lb; loaded you weigh {whole:,} lb. "
        f"Do not cross loaded. {limit.note}".strip()
        for limit in limits
        if limit.whole_rig_lb and whole > limit.whole_rig_lb
    ]
    said += [caution.text for caution in cautions_on("load_card")]
    return tuple(said)


def _drop(stop: Stop, money: Mapping[int, Balance], parts: Mapping[int, int]) -> DropView:
    order = stop.order
    place, customer = order.place, order.customer
    town = place.town if place else None
    return DropView(
        id=stop.pk,
        sequence=stop.sequence,
        number=order.number,
        part=stop.part,
        parts=parts.get(stop.order_id, 1),
        order_state=order.state,
        order_state_words=str(order.get_state_display()),
        customer=customer.name,
        phone=customer.phone or customer.phone_as_typed,
        is_landline=customer.is_landline,
        address=place.address if place else "",
        town=town.name if town else "",
        lat=place.lat if place and place.lat is not None else town.lat if town else None,
        lon=place.lon if place and place.lon is not None else town.lon if town else None,
        is_exact=bool(place and place.is_exact),
        gate_code=place.gate_code if place else "",
        drop_spot=place.drop_spot if place else "",
        access_note=place.access_note if place else "",
        note=order.note,
        seller_note=order.seller_note,
        wood=order.wood,
        dryness=order.dryness,
        cords=stop.cords,
        bundles=stop.bundles,
        stacked=order.stacked,
        small_rig_only=order.small_rig_only,
        lot_code=stop.lot.code if stop.lot else "",
        lot_name=stop.lot.name if stop.lot else "",
        window_from=order.window_from,
        window_to=order.window_to,
        comes_from=order.comes_from,
        comes_to=order.comes_to,
        arrive_at=stop.arrive_at,
        begin_at=stop.begin_at,
        leave_at=stop.leave_at,
        leg_meters=stop.leg_meters,
        leg_seconds=stop.leg_seconds,
        total=order.total_dollars,
        balance=money[stop.order_id],
        pay_how=order.pay_how,
        pay_first=customer.pay_first,
        pinned=stop.pinned,
        state=stop.state,
        state_words=str(stop.get_state_display()),
        done_at=stop.done_at,
        trouble=stop.note,
        is_known_buyer=customer.is_repeat,
    )


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
