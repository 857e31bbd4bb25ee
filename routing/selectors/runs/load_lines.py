"""What goes on first, from which lot, and how it lies in the box."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from math import ceil

from django.utils.translation import gettext as _

from inventory.core.units import BUNDLE_FT3, CORD_FT3
from inventory.models import Lot
from inventory.selectors.spoken import reader_language
from orders.core.languages import bundle_words, wood_name
from routing.core.box import LoadLine, Parcel, TooMuchWood, load_lines
from routing.core.rigs import Rig as RigValue
from routing.models import Stop


def parcel_of(stop: Stop, rig: RigValue, weights: Mapping[int, float]) -> Parcel:
    """What lies in the box: bundles count by the room they take, as cords of this rig's loose wood."""
    bundle_ft3 = _bundle_ft3(stop) * (stop.bundles - stop.bed_bundles)
    each = weights.get(stop.lot_id or 0, 0.0)
    return Parcel(
        order=str(stop.order.number),
        customer=stop.order.customer.name,
        wood=_wood_words(stop),
        cords=stop.cords + bundle_ft3 / Fraction(rig.heap_number),
        lb=each * float(stop.cords + bundle_ft3 / CORD_FT3),
    )


def in_bed(stops: Iterable[Stop], weights: Mapping[int, float]) -> tuple[Fraction, int]:
    """Cubic feet and planned pounds of the bundles in the pickup's bed."""
    room = [(_bundle_ft3(stop) * stop.bed_bundles, weights.get(stop.lot_id or 0, 0.0)) for stop in stops]
    lb = ceil(sum(float(ft3 / CORD_FT3) * each for ft3, each in room))
    return sum((ft3 for ft3, _ in room), Fraction(0)), lb


def _bundle_ft3(stop: Stop) -> Fraction:
    return Fraction((stop.lot and stop.lot.bundle_ft3) or BUNDLE_FT3)


def _wood_words(stop: Stop) -> str:
    if stop.bundles and not stop.cords:
        return bundle_words(stop.bundles - stop.bed_bundles, language=reader_language())
    if stop.lot is None:
        return wood_name(stop.order.wood, language=reader_language())
    return f"{stop.lot.name} ({stop.lot.code})"


def lines_of(rig: RigValue, parcels: list[Parcel]) -> tuple[LoadLine, ...]:
    try:
        return load_lines(rig, parcels)
    except TooMuchWood as error:  # the bar and the caution say so; the order of loading is still wanted
        higher = ceil(error.wanted / Fraction(rig.box_length_ft * rig.box_width_ft))
        tall = replace(rig, box_side_ft=rig.box_side_ft + higher)
        return load_lines(tall, parcels)


def lots_of(stops: list[Stop]) -> tuple[tuple[str, str, Fraction, int], ...]:
    """What to take from which lot, added up."""
    sums: dict[tuple[str, str], tuple[Fraction, int]] = {}
    for stop in stops:
        lot: Lot | None = stop.lot
        key = (lot.code, lot.name) if lot else (_("held lots"), _wood_words(stop))
        cords, bundles = sums.get(key, (Fraction(0), 0))
        sums[key] = (cords + stop.cords, bundles + stop.bundles)
    return tuple((code, name, *amount) for (code, name), amount in sums.items())
