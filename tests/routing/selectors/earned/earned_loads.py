"""The load of the worked example of a shared drive, as rows."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from routing.models import Load, Run, Stop
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_customer, make_order, make_place
from tests.factories.routing import make_day, make_rig

ON = date(2026, 9, 18)


def a_load(*, on=ON, number_from=202) -> Load:
    """The load of job example 6: a third to Marrow Bridge, two thirds stacked to Larch Prairie."""
    siding = make_yard()
    lot = make_lot(yard=siding)
    rig = make_rig(home_yard=siding)
    run = Run.objects.create(day=make_day(on), rig=rig, loaded_meters=33475, empty_meters=31382)
    load = Load.objects.create(run=run, sequence=1, yard=siding, cords=Fraction(1), weight_lb=3168)
    greta, pilar = make_customer("Greta Sool"), make_customer("Pilar Ostrander")
    near = make_order(number=number_from, customer=greta, place=make_place(greta))
    far = make_order(
        number=number_from + 1,
        customer=pilar,
        place=make_place(pilar, town="Larch Prairie"),
        cords=Fraction(2, 3),
        stacked=True,
        total_dollars=Decimal(242),
        wood_dollars=Decimal(180),
    )
    for sequence, (order, cords) in enumerate(((near, Fraction(1, 3)), (far, Fraction(2, 3))), start=1):
        Stop.objects.create(load=load, sequence=sequence, order=order, cords=cords, lot=lot)
    return load
