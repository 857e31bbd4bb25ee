"""Reading vector tiles: the road engine hands them out, we draw them.

Source
    Mapbox Vector Tile Specification 2.1 (layers, packed tags, zigzag command integers).
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass

from routing.core import RoutingError

type Value = str | int | float | bool
type Line = tuple[tuple[int, int], ...]

VARINT, EIGHT_BYTES, LENGTH, FOUR_BYTES = 0, 1, 2, 5
MOVE_TO, LINE_TO = 1, 2
WHOLE_TILE = 4096


class BadTile(RoutingError):
    """Bytes that are no vector tile."""

    says = "The road engine sent a map tile that cannot be read: load the roads again."


@dataclass(frozen=True, slots=True, kw_only=True)
class TileFeature:
    """One thing on a tile: what is said of it, and its lines in tile units."""

    tags: dict[str, Value]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TileLayer:
    """A named layer; `extent` tile units make one side of the tile."""

    name: str
    extent: int
    features: tuple[TileFeature, ...]


def read_tile(raw: bytes) -> tuple[TileLayer, ...]:
    """The layers of a tile; none for no bytes.

    Errors
        BadTile: the bytes are cut off or no tile.
    """
    try:
        return tuple(_layer(part) for field, part in _fields(raw) if field == 3 and isinstance(part, bytes))
    except (IndexError, struct.error, UnicodeDecodeError, ValueError) as error:
        raise BadTile from error


def _varint(raw: bytes, at: int) -> tuple[int, int]:
    value = shift = 0
    while True:
        byte = raw[at]
        at += 1
        value |= (byte & 127) << shift
        if byte < 128:
            return value, at
        shift += 7


def _fields(raw: bytes) -> Iterator[tuple[int, int | bytes]]:
    at = 0
    while at < len(raw):
        key, at = _varint(raw, at)
        field, kind = key >> 3, key & 7
        if kind == VARINT:
            number, at = _varint(raw, at)
            yield field, number
            continue
        if kind == LENGTH:
            size, at = _varint(raw, at)
        elif kind in (EIGHT_BYTES, FOUR_BYTES):
            size = 8 if kind == EIGHT_BYTES else 4
        else:
            raise ValueError(kind)
        if at + size > len(raw):
            raise IndexError(at)
        yield field, raw[at : at + size]
        at += size


def _packed(raw: bytes) -> list[int]:
    numbers, at = [], 0
    while at < len(raw):
        number, at = _varint(raw, at)
        numbers.append(number)
    return numbers


def _zigzag(number: int) -> int:
    return (number >> 1) ^ -(number & 1)


def _layer(raw: bytes) -> TileLayer:
    name, extent = "", WHOLE_TILE
    keys: list[str] = []
    values: list[Value] = []
    features: list[bytes] = []
    for field, part in _fields(raw):
        if isinstance(part, int):
            extent = part if field == 5 else extent
        elif field == 1:
            name = part.decode()
        elif field == 2:
            features.append(part)
        elif field == 3:
            keys.append(part.decode())
        elif field == 4:
            values.append(_value(part))
    return TileLayer(
        name=name, extent=extent, features=tuple(_feature(feature, keys, values) for feature in features)
    )


def _value(raw: bytes) -> Value:
    for field, part in _fields(raw):
        if isinstance(part, int):
            if field == 7:
                return bool(part)
            return _zigzag(part) if field == 6 else part
        if field == 1:
            return part.decode()
        if field in (2, 3):
            return float(struct.unpack("<f" if field == 2 else "<d", part)[0])
    return ""


def _feature(raw: bytes, keys: list[str], values: list[Value]) -> TileFeature:
    tags: dict[str, Value] = {}
    lines: tuple[Line, ...] = ()
    for field, part in _fields(raw):
        if field == 2 and isinstance(part, bytes):
            pairs = _packed(part)
            tags = {keys[pairs[at]]: values[pairs[at + 1]] for at in range(0, len(pairs) - 1, 2)}
        elif field == 4 and isinstance(part, bytes):
            lines = _lines(_packed(part))
    return TileFeature(tags=tags, lines=lines)


def _lines(commands: list[int]) -> tuple[Line, ...]:
    lines: list[Line] = []
    line: list[tuple[int, int]] = []
    x = y = at = 0
    while at < len(commands):
        command, count = commands[at] & 7, commands[at] >> 3
        at += 1
        if command not in (MOVE_TO, LINE_TO):
            continue
        for _ in range(count):
            x += _zigzag(commands[at])
            y += _zigzag(commands[at + 1])
            at += 2
            if command == MOVE_TO and line:
                lines.append(tuple(line))
                line = []
            line.append((x, y))
    return (*lines, tuple(line)) if line else tuple(lines)
