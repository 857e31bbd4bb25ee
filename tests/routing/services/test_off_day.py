"""An order put right comes off the day that was planned for it as it was."""

from uuid import uuid4

import pytest

from orders.models import Order
from routing.models import Day, Stop
from routing.services.driver_events.record import record_event
from routing.services.driver_events.values import IncomingEvent
from routing.services.off_day import OnTheRoad, days_carrying, leave_days
from tests.factories.day import FRIDAY

pytestmark = pytest.mark.django_db


def test_it_comes_off_its_committed_day_and_the_others_keep_their_promise(committed, an_instant):
    assert leave_days(number=202, at=an_instant, who="ruth") == (FRIDAY,)

    order = Order.objects.get(number=202)
    assert (order.state, order.promised_on, days_carrying(202)) == ("confirmed", None, ())
    assert Order.objects.get(number=203).promised_on == FRIDAY
    assert Day.objects.get(on=FRIDAY).state == Day.State.DRAFT


def test_an_order_on_the_road_stays(committed, an_instant):
    record_event(
        IncomingEvent(
            key=uuid4(),
            kind="loaded",
            at=an_instant,
            input={},
            load_id=Stop.objects.get(order__number=202).load_id,
        ),
        received_at=an_instant,
        who="tam",
    )

    with pytest.raises(OnTheRoad, match="on the road"):
        leave_days(number=202, at=an_instant, who="ruth")
    assert days_carrying(202) == (FRIDAY,)
