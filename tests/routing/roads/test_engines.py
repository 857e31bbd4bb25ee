"""The engines: what they answer, and the sentences when they cannot."""

import json
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import CAR
from routing.core.roads import EngineDown, Leg, OffTheMap, Point, meters_between
from routing.engines.straight_line import StraightLineEngine
from routing.engines.valhalla import ValhallaEngine
from routing.engines.valhalla_http import ValhallaHttpEngine
from routing.engines.valhalla_json import ValhallaRefused
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.road_maps import tile_svg
from tests.routing.roads.conftest import HEAVY_LOADED, PLACES

NOWHERE = Point(lat=10.0, lon=10.0)
TOWNS = [PLACES[name] for name in ("Siding", "Marrow", "Larch", "Fennick")]

pytestmark = pytest.mark.roads


@pytest.fixture(scope="module")
def service(engine: ValhallaEngine) -> Iterator[str]:
    """A small web server that answers in Valhalla's words, through the engine in this process."""

    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            question = json.loads(parse_qs(urlsplit(self.path).query)["json"][0])
            tile = question["tile"]
            self.reply(200, engine.tile(tile["z"], tile["x"], tile["y"]))

        def do_POST(self) -> None:
            action = self.path.strip("/")
            question = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            if action == "status":
                self.reply(200, json.dumps({"tileset_last_modified": 1234}).encode())
                return
            try:
                self.reply(200, json.dumps(engine.ask(action, question)).encode())
            except ValhallaRefused as refused:
                told = {"error_code": refused.code, "error": refused.message, "status_code": 400}
                self.reply(400, json.dumps(told).encode())

        def reply(self, status: int, body: bytes) -> None:
            self.send_response(status)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture
def broken_service() -> Iterator[str]:
    """A web server that is there and has gone mad."""

    class Nonsense(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = b"<html>bad gateway</html>"
            self.send_response(200 if self.path == "/route" else 502)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Nonsense)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


def test_a_matrix_has_a_leg_for_every_pair(engine: ValhallaEngine) -> None:
    matrix = engine.matrix(TOWNS, TOWNS, CAR)

    assert all(matrix.leg(at, at) == Leg(meters=0, seconds=0) for at in range(4))
    assert all(leg is not None for row in matrix.legs for leg in row)


def test_one_place_off_the_map_costs_the_others_nothing(engine: ValhallaEngine) -> None:
    alone = engine.matrix(TOWNS, TOWNS, CAR)
    mixed = engine.matrix([*TOWNS, NOWHERE], [NOWHERE, *TOWNS], CAR)

    assert [row[1:] for row in mixed.legs[:4]] == list(alone.legs)
    assert mixed.legs[4] == (Leg(meters=0, seconds=0), None, None, None, None)
    assert all(row[0] is None for row in mixed.legs[:4])


def test_more_places_than_one_question_holds_are_asked_in_blocks(engine: ValhallaEngine) -> None:
    along = [Point(lat=44.0 + step * 0.0001, lon=-150.0) for step in range(53)]

    matrix = engine.matrix(along, along[:3], CAR)

    assert len(matrix.legs) == 53
    assert matrix.legs[52] == engine.matrix(along[52:], along[:3], CAR).legs[0]


def test_a_route_through_many_stops_has_a_leg_for_each(engine: ValhallaEngine) -> None:
    there_and_back = [PLACES["Siding"], PLACES["Marrow"]] * 15

    route = engine.route(there_and_back, CAR)

    assert len(route.legs) == 29
    assert route.meters == pytest.approx(29 * 3.8 * METERS_PER_MILE, rel=0.02)
    assert meters_between(route.line[0], PLACES["Siding"]) < 30


def test_a_route_to_nowhere_else_is_no_drive(engine: ValhallaEngine) -> None:
    assert engine.route([PLACES["Siding"]], CAR).legs == ()
    assert engine.route([], CAR).line == ()
    assert engine.route([PLACES["Siding"]] * 2, CAR).legs == (Leg(meters=0, seconds=0),)


def test_a_spot_off_the_map_is_named(engine: ValhallaEngine) -> None:
    with pytest.raises(OffTheMap, match="off the map") as refused:
        engine.route([PLACES["Siding"], NOWHERE], CAR)

    assert refused.value.point == NOWHERE


def test_the_distance_to_the_road_tells_who_is_off_the_map(engine: ValhallaEngine) -> None:
    assert engine.snap(PLACES["Marrow"]) == 0
    assert engine.snap(NOWHERE) is None
    ten_miles_out = engine.snap(Point(lat=44.0, lon=-149.6))
    assert ten_miles_out is None or ten_miles_out > 10_000


def test_every_thread_asks_an_engine_of_its_own(engine: ValhallaEngine) -> None:
    expected = engine.matrix(TOWNS, TOWNS, HEAVY_LOADED)

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: engine.matrix(TOWNS, TOWNS, HEAVY_LOADED), range(12)))

    assert all(answer == expected for answer in answers)


def test_lost_tiles_are_told(tmp_path: Path) -> None:
    gone = ValhallaEngine(tiles=tmp_path / "tiles.tar", map_key="gone")

    with pytest.raises(EngineDown, match="run load_roads again"):
        gone.matrix(TOWNS, TOWNS, CAR)


def test_the_service_answers_as_the_engine_in_process(engine: ValhallaEngine, service: str) -> None:
    over_http = ValhallaHttpEngine(url=service + "/")

    assert over_http.matrix(TOWNS, TOWNS, HEAVY_LOADED) == engine.matrix(TOWNS, TOWNS, HEAVY_LOADED)
    assert over_http.route(TOWNS, HEAVY_LOADED) == engine.route(TOWNS, HEAVY_LOADED)
    assert over_http.snap(NOWHERE) is None
    assert over_http.tile(12, 340, 1489) == engine.tile(12, 340, 1489)


def test_the_key_of_a_service_holds_the_age_of_its_map(service: str) -> None:
    over_http = ValhallaHttpEngine(url=service)

    assert over_http.key.startswith("http-127.0.0.1")
    assert over_http.key.endswith("-1234")


def test_the_service_names_a_spot_off_the_map(service: str) -> None:
    with pytest.raises(OffTheMap):
        ValhallaHttpEngine(url=service).route([PLACES["Siding"], NOWHERE], CAR)


def test_a_service_that_is_not_there_is_told() -> None:
    closed = ValhallaHttpEngine(url="http://127.0.0.1:9", timeout=1)

    with pytest.raises(EngineDown, match="does not answer"):
        closed.matrix(TOWNS, TOWNS, CAR)


def test_a_service_that_talks_nonsense_is_told(broken_service: str) -> None:
    mad = ValhallaHttpEngine(url=broken_service)

    with pytest.raises(EngineDown, match="not JSON"):
        mad.route(TOWNS, CAR)
    with pytest.raises(EngineDown, match="status 502"):
        mad.matrix(TOWNS, TOWNS, CAR)


def test_a_slow_service_is_not_waited_for() -> None:
    import socket

    with socket.socket() as deaf:
        deaf.bind(("127.0.0.1", 0))
        deaf.listen()
        slow = ValhallaHttpEngine(url=f"http://127.0.0.1:{deaf.getsockname()[1]}", timeout=0.2)

        with pytest.raises(EngineDown, match="timed out"):
            slow.matrix(TOWNS, TOWNS, CAR)


def test_the_estimate_is_the_great_circle_and_a_third() -> None:
    """Great circle x 1.3 at 35 mph: design, section 7."""
    guess = StraightLineEngine()
    start, end = PLACES["Siding"], PLACES["Larch"]

    leg = guess.matrix([start], [end], CAR).leg(0, 0)

    assert leg is not None
    assert leg.miles == pytest.approx((8**2 + 14**2) ** 0.5 * 1.3, rel=0.002)
    assert leg.seconds == pytest.approx(leg.miles / 35 * 3600, abs=1)
    assert guess.matrix([start], [end], CAR).estimated
    assert guess.route([start, end, start], CAR).estimated


@pytest.mark.django_db
def test_the_map_is_drawn_from_the_service_too(service: str, settings: Any) -> None:
    settings.ROAD_ENGINE, settings.VALHALLA_URL = "valhalla_http", service

    drawn = tile_svg(12, 340, 1489)

    assert drawn is not None
    assert "<path" in drawn
    assert roads_now().credit == "© OpenStreetMap contributors"
    assert not roads_now().is_estimate
