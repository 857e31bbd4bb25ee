"""Valhalla as a service of its own, asked over HTTP; for many web processes over one large map."""

import json
import time
from collections.abc import Sequence
from http.client import HTTPException
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import Request, urlopen

from inventory.core.sentences import Sentence
from routing.core.road_engine import NO_MARKS, RigProfile, RoadMarks
from routing.core.roads import EngineDown, Matrix, Point, Route, Turn
from routing.engines.valhalla_json import Json, ask_matrix, ask_route, ask_snap, refusal
from routing.engines.valhalla_turns import ask_turns

CONNECT_AND_READ_SECONDS = 10.0
KEY_HOLDS_SECONDS = 300.0  # how long until we ask again which map the service has loaded

_keys: dict[str, tuple[float, str]] = {}


class ValhallaHttpEngine:
    """Roads from the Valhalla service at `url`."""

    is_estimate = False

    def __init__(
        self, *, url: str, timeout: float = CONNECT_AND_READ_SECONDS, marks: RoadMarks = NO_MARKS
    ) -> None:
        self._url = url.rstrip("/")
        self._timeout = timeout
        self._marks = marks

    @property
    def key(self) -> str:
        """The service and the age of its map, so that drives of an older map are asked again.

        Errors
            EngineDown: no answer.
        """
        at, known = _keys.get(self._url, (-KEY_HOLDS_SECONDS, ""))
        if not known or time.monotonic() - at > KEY_HOLDS_SECONDS:
            status = self.ask("status", {})
            built = status.get("tileset_last_modified", 0) if isinstance(status, dict) else 0
            known = f"http-{self._url.split('//')[-1][:60]}-{built}"
            _keys[self._url] = (time.monotonic(), known)
        return f"{known}{self._marks.key}"

    def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
        return ask_matrix(
            self.ask, sources=sources, targets=targets, profile=profile, engine=self._url, marks=self._marks
        )

    def route(self, points: Sequence[Point], profile: RigProfile) -> Route:
        return ask_route(self.ask, points=points, profile=profile, engine=self._url, marks=self._marks)

    def turns(self, line: str, language: str) -> tuple[Turn, ...]:
        return ask_turns(self.ask, line=line, language=language, engine=self._url)

    def snap(self, point: Point) -> int | None:
        return ask_snap(self.ask, point=point, engine=self._url)

    def tile(self, z: int, x: int, y: int) -> bytes:
        """One vector tile of the roads; no bytes where there are none."""
        question = urlencode({"json": json.dumps({"tile": {"z": z, "x": x, "y": y}})})
        return self._read(Request(f"{self._url}/tile?{question}"))

    def ask(self, action: str, question: Json) -> Any:
        """One question in Valhalla's own words.

        Errors
            ValhallaRefused: it says no. EngineDown: no answer in time, or nonsense.
        """
        body = json.dumps(question).encode()
        raw = self._read(
            Request(f"{self._url}/{action}", data=body, headers={"Content-Type": "application/json"})
        )
        try:
            answer = json.loads(raw)
        except ValueError as error:
            raise EngineDown(engine=self._url, why="its answer is not JSON") from error
        if isinstance(answer, dict) and (failure := refusal(answer)):
            raise failure
        return answer

    def _read(self, request: Request) -> bytes:
        try:
            with urlopen(request, timeout=self._timeout) as answer:
                return bytes(answer.read())
        except HTTPError as error:
            with error:
                body = error.read()
            try:
                failure = refusal(json.loads(body))
            except ValueError:
                failure = None
            if failure:
                raise failure from error
            raise EngineDown(engine=self._url, why=Sentence("status {code}", {"code": error.code})) from error
        except (OSError, HTTPException) as error:
            raise EngineDown(
                engine=self._url, why=str(getattr(error, "reason", error)) or "no answer"
            ) from error
