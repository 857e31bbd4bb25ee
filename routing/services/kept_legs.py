"""Drives kept for spots nobody can ask about any more go, so that the books do not grow for ever."""

from functools import reduce
from operator import or_

from django.db.models import Q

from inventory.models import Yard
from orders.models import Place, Town
from routing.core.roads import E6, EngineDown
from routing.engines import current_engine
from routing.models import CachedLeg

AT_ONCE = 200  # conditions in one statement; SQLite takes 1,000


def forget_legs_to_nowhere() -> int:
    """Delete drives from or to a spot that is no yard, no town and no place of a price or order; how many.

    A drive that is asked about all the same is measured anew.
    """
    known = {
        (round(lat * E6), round(lon * E6))
        for table in (Yard, Town, Place)
        for lat, lon in table.objects.values_list("lat", "lon")
        if lat is not None and lon is not None
    }
    gone = 0
    for end in ("from", "to"):
        lat, lon = f"{end}_lat_e6", f"{end}_lon_e6"
        unknown = sorted(set(CachedLeg.objects.values_list(lat, lon).distinct()) - known)
        for start in range(0, len(unknown), AT_ONCE):
            spots = (Q(**{lat: at[0], lon: at[1]}) for at in unknown[start : start + AT_ONCE])
            gone += CachedLeg.objects.filter(reduce(or_, spots)).delete()[0]
    return gone


def forget_legs_of_other_maps() -> int:
    """Delete drives on another map than today's, or by older marks on its roads; how many.

    Nothing goes while there are no roads or none answer: what is kept serves again once they are back.
    """
    engine = current_engine()
    try:
        ours = "" if engine.is_estimate else f"{engine.key}|"
    except EngineDown:
        return 0
    return CachedLeg.objects.exclude(profile_key__startswith=ours).delete()[0] if ours else 0
