"""A rig saved: what the trail keeps of it."""

from dataclasses import replace
from decimal import Decimal

from inventory.core.rows import columns_of
from inventory.selectors.audit import audit_trail
from routing.core import rigs
from routing.services.rigs import save_rig
from tests.factories.routing import make_rig


def test_the_trail_keeps_before_and_after_of_every_column_that_changed(db, an_instant):
    row = make_rig(name="Big trailer")
    row.refresh_from_db()
    kept = rigs.Rig(**columns_of(rigs.Rig, row))
    braced = replace(kept, straps=6, top_speed_mph=Decimal("47.5"), box_side_ft=kept.box_side_ft + 1)

    save_rig(rig=braced, truck="Old Ford", hitch_minutes=15, at=an_instant, who="mara", rig_id=row.pk)

    ((line,), _) = audit_trail(thing="rig Big trailer")
    assert line.verb == "changed"
    assert {name for name, _, _ in line.changes} == {
        "pickup", "hitch minutes", "straps", "top speed mph", "box side ft", "capacity ft3",
    }  # fmt: skip
    assert ("top speed mph", str(kept.top_speed_mph), "47.5") in line.changes


def test_the_trail_of_a_new_rig_says_what_is_not_usual(db, an_instant):
    usual = make_rig(name="Big trailer")
    usual.refresh_from_db()
    kept = rigs.Rig(**columns_of(rigs.Rig, usual))

    save_rig(rig=replace(kept, name="Spare"), truck="", hitch_minutes=15, at=an_instant, who="mara")

    ((line,), _) = audit_trail(thing="rig Spare")
    said = {name: after for name, _, after in line.changes}
    assert line.verb == "added"
    assert (said["name"], said["home yard"]) == ("Spare", str(usual.home_yard))
    assert "pickup" not in said
