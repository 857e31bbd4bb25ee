"""The papers of where wood was cut that ride with a day's loads."""

from datetime import date
from fractions import Fraction

from orders.selectors.drawn import CutLine, CutPaper, cut_line, cut_paper, lots_drawn
from routing.models import Load, Stop


def cut_papers_of_day(on: date) -> tuple[CutPaper, ...]:
    """One paper for each load of a day, planned or driven."""
    stops = Stop.objects.select_related("lot__unit", "order__customer", "order__place")
    loads = Load.objects.filter(run__day__on=on).select_related("run__rig", "yard")
    loads = loads.order_by("run__rig__name", "run_id", "sequence")
    papers = []
    for load in loads:
        lines = [line for stop in stops.filter(load=load).order_by("sequence") for line in _lines(stop)]
        papers.append(cut_paper(f"{load.run.rig.name}, load {load.sequence} from {load.yard.name}", lines))
    return tuple(papers)


def _lines(stop: Stop) -> tuple[CutLine, ...]:
    """A drop's wood by lot: the lot planned for it, else those the order is held from."""
    if stop.lot is not None:
        return (cut_line(stop.order, stop.lot, cords=stop.cords, bundles=stop.bundles),)
    lots = [
        (lot, cords) for lot, cords in lots_drawn(stop.order) if bool(lot.bundle_ft3) == bool(stop.bundles)
    ]
    whole = sum((cords for _, cords in lots), Fraction(0))
    return tuple(
        cut_line(
            stop.order, lot, cords=stop.cords * cords / whole if whole else Fraction(0), bundles=stop.bundles
        )
        for lot, cords in lots
    )
