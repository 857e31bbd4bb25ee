"""A line of places as one short string, and back."""

PRECISION = 1_000_000  # the road engine writes millionths of a degree


def decode_polyline(text: str) -> tuple[tuple[float, float], ...]:
    """Latitude and longitude pairs of an encoded line.

    Source
        encoded polyline algorithm (Google Maps Platform documentation), at six digits.

    >>> decode_polyline(encode_polyline(((44.0, -150.0), (44.5, -150.25))))
    ((44.0, -150.0), (44.5, -150.25))
    """
    places: list[tuple[float, float]] = []
    at = 0
    numbers = [0, 0]
    while at < len(text):
        for axis in (0, 1):
            shift = value = 0
            while True:
                bits = ord(text[at]) - 63
                at += 1
                value |= (bits & 31) << shift
                shift += 5
                if bits < 32:
                    break
            numbers[axis] += ~(value >> 1) if value & 1 else value >> 1
        places.append((numbers[0] / PRECISION, numbers[1] / PRECISION))
    return tuple(places)


def encode_polyline(places: tuple[tuple[float, float], ...]) -> str:
    """The same line as one string: what the map script is handed."""
    written: list[str] = []
    last = [0, 0]
    for place in places:
        for axis in (0, 1):
            now = round(place[axis] * PRECISION)
            step = now - last[axis]
            last[axis] = now
            value = ~(step << 1) if step < 0 else step << 1
            while value >= 32:
                written.append(chr((32 | (value & 31)) + 63))
                value >>= 5
            written.append(chr(value + 63))
    return "".join(written)
