"""Two hundred typed addresses on each map: none elsewhere, no number lost, exact ones found, others asked."""

from collections import Counter
from pathlib import Path

import pytest

from orders.selectors.prices import miles_apart
from orders.services.quotes import Spot
from routing.core.streets import fold
from routing.engines.street_builder import build_street_index
from routing.engines.street_index import StreetIndex
from routing.quoting.spots import WhichTown, find_spot
from tests.routing.quoting.typed_addresses import Ground, Typed, typed_addresses
from tests.routing.roads.conftest import REGION, sample  # noqa: F401  - a fixture

pytestmark = pytest.mark.roads

SAME_HOUSE_MILES = 0.05
FOUND_SHARE = 0.95


def ground_of(pbf: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Ground:
    """The map's streets in use, without a database."""
    path = folder / "streets.sqlite3"
    build_street_index(pbf=pbf, to=path)
    monkeypatch.setattr("routing.selectors.roads.current.street_index", lambda: StreetIndex(path))
    return Ground(path)


def stored(ground: Ground, one: Typed) -> Spot:
    spot, town = find_spot(where=one.text, town_id=one.town.id, lat=None, lon=None, towns=ground.towns)
    assert town == one.town
    return spot


def in_another_town(ground: Ground, one: Typed, spot: Spot) -> bool:
    others = {town.name for town in ground.towns} - {one.town.name}
    return spot.town_id != one.town.id or ground.spots.get((spot.lat, spot.lon)) in others


def is_found(one: Typed, spot: Spot) -> bool:
    if one.house is None:  # a street whose houses the map lacks
        return not spot.is_confirmed
    away = miles_apart(spot.lat or 0, spot.lon or 0, one.house.lat, one.house.lon)
    return spot.is_confirmed and away < SAME_HOUSE_MILES


def in_two_served(ground: Ground, one: Typed) -> bool:
    street = fold(one.text.split(maxsplit=1)[1])
    return len(ground.streets[street] & {town.name for town in ground.towns}) > 1


def check_all(ground: Ground) -> Counter[str]:
    answers = [(one, stored(ground, one)) for one in typed_addresses(ground)]
    kinds = Counter(one.kind for one, _ in answers)
    exact = [is_found(one, spot) for one, spot in answers if one.kind in ("exact", "two towns")]

    assert [one for one, spot in answers if in_another_town(ground, one, spot)] == []
    assert [one for one, spot in answers if one.number not in spot.address] == []
    assert [one for one, spot in answers if one.town.name not in spot.address] == []
    assert sum(exact) >= FOUND_SHARE * len(exact), [
        one for one, spot in answers if one.kind in ("exact", "two towns") and not is_found(one, spot)
    ]
    guessed = [one for one, spot in answers if one.kind not in ("exact", "two towns") and spot.is_confirmed]
    assert guessed == []
    return kinds


def test_two_hundred_addresses_of_the_invented_map(tmp_path, monkeypatch):
    kinds = check_all(ground_of(REGION, tmp_path, monkeypatch))

    assert sum(kinds.values()) >= 200, kinds


def test_two_hundred_addresses_of_a_real_map(sample, tmp_path, monkeypatch):  # noqa: F811
    kinds = check_all(ground_of(sample, tmp_path, monkeypatch))

    assert sum(kinds.values()) >= 200, kinds


def test_a_street_of_two_towns_is_asked_about_when_no_town_is_chosen(sample, tmp_path, monkeypatch):  # noqa: F811
    ground = ground_of(sample, tmp_path, monkeypatch)
    shared = [
        one for one in typed_addresses(ground) if one.kind == "two towns" and in_two_served(ground, one)
    ]

    assert shared != []

    for one in shared:
        with pytest.raises(WhichTown):
            find_spot(where=one.text, town_id=None, lat=None, lon=None, towns=ground.towns)
