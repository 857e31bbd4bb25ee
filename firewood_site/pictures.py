"""Drawings of wood at its true size: a stack beside a person, to one scale, as inline SVG."""

from fractions import Fraction
from html import escape

FT = 24  # drawing units to the foot
ROW_FT = 8  # a row is drawn eight feet long and four high; three rows of 16-inch pieces make a cord
HIGH_FT = 4
ROWS_PER_CORD = 3
PERSON_FT = 5.6
BACK_X, BACK_Y = 22, 20  # how far each row behind is drawn aside: far enough to count them
PICKUP_LONG, PICKUP_HIGH = 444, 150
SIDE_X, SIDE_Y = 14, 12  # how deep a row itself is drawn: the rest is the gap between two
PIECE = 12  # a split piece's end, drawing units: six inches
LOG_ROUND = 20  # half the thickness of a whole log
LEAST_FT = 0.7


def stack_picture(
    cords: Fraction,
    *,
    label: str,
    key: str,
    with_person: bool = True,
    with_pickup: bool = False,
    most: Fraction | None = None,
) -> str:
    """A stack of so many cords, drawn to scale; `label` is read aloud, `key` keeps pattern names apart.

    Shapes
        most: the largest amount of the pictures it stands among: all are then drawn to one scale.
    """
    rows = _rows(cords)
    depth = len(rows) - 1
    deepest = max(depth, len(_rows(most)) - 1) if most else depth
    left = round(2.2 * FT) if with_person else 6
    beyond = left + ROW_FT * FT + (deepest + 1) * BACK_X + 4  # the last row shows its side too
    width = beyond + (PICKUP_LONG + FT // 2 if with_pickup else 0)
    tallest = round(PICKUP_HIGH if with_pickup else PERSON_FT * FT if with_person else 0)
    high = max(HIGH_FT * FT + (deepest + 1) * BACK_Y, tallest) + 14
    ground = high - 8
    parts = [
        f'<svg class="stack-picture" viewBox="0 0 {width} {high}" role="img" aria-label="{escape(label)}" '
        f'width="{width}" height="{high}">',
        f'<defs><pattern id="ends-{key}" width="{2 * PIECE}" height="{2 * PIECE}" '
        f'patternUnits="userSpaceOnUse">{_pattern()}</pattern></defs>',
        f'<path class="log-ground" d="M2 {ground}H{width - 2}"/>',
    ]
    for behind in range(depth, -1, -1):
        length = rows[depth - behind]
        x, y = left + behind * BACK_X, ground - behind * BACK_Y
        parts.append(_row(x, y, length, key=key))
    if with_person:
        parts.append(_person(round(0.2 * FT), ground))
    if with_pickup:
        parts.append(_pickup(beyond + FT // 4, ground))
    parts.append("</svg>")
    return "".join(parts)


def _pickup(x: int, ground: int) -> str:
    """A full-size pickup from the side: a bed eight feet long, eighteen and a half over all."""
    body = (
        "M0 -108H192V-112L202 -148Q204 -150 208 -150H286Q292 -150 295 -146L322 -106L424 -97Q442 -95 444 -72"
        "V-36H0z"
    )
    wheels = "".join(
        f'<circle class="pickup-wheel" cx="{at}" cy="-30" r="29"/>'
        f'<circle class="pickup" cx="{at}" cy="-30" r="12"/>'
        for at in (92, 362)
    )
    return (
        f'<g transform="translate({x} {ground})"><path class="pickup" d="{body}"/>'
        f'<path class="pickup" d="M212 -138H284L304 -108H212zM0 -96H192M192 -108V-36"/>{wheels}</g>'
    )


def _rows(cords: Fraction) -> list[float]:
    """Lengths in feet, back row first; the front one is what is left over."""
    whole, rest = divmod(cords * ROWS_PER_CORD, 1)
    rows = [float(ROW_FT)] * int(whole)
    if rest:
        rows.append(max(LEAST_FT, float(rest * ROW_FT)))
    return rows or [LEAST_FT]


def _row(x: int, ground: int, length_ft: float, *, key: str) -> str:
    """A row whose pieces end where it ends: its own corner is where the pattern of ends begins."""
    wide, high = max(PIECE, PIECE * round(length_ft * FT / PIECE)), HIGH_FT * FT
    side = (
        f"M{wide} {high}V0l{SIDE_X} {-SIDE_Y}V{high - SIDE_Y}z"
        f"M0 0l{SIDE_X} {-SIDE_Y}h{wide}l{-SIDE_X} {SIDE_Y}z"
    )
    return (
        f'<g transform="translate({x} {ground - high})"><path class="log-side" d="{side}"/>'
        f'<rect class="log-front" width="{wide}" height="{high}"/>'
        f'<rect fill="url(#ends-{key})" width="{wide}" height="{high}"/></g>'
    )


def _pattern() -> str:
    """Four ends of split pieces, none across the edge of the pattern."""
    ends = (
        "M1 1h10l.6 6-4.6 4.5-6.4-3z",
        "M13 .7h10.5v8l-7 3-3.7-5z",
        "M1 13l7-1.2 3.7 6.4-2 5.3H.6z",
        "M13 13.4l9-1.4 1.5 8-4 3.5h-6.8z",
    )
    return "".join(f'<path class="log-end" d="{end}"/>' for end in ends)


def logs_picture(*, label: str) -> str:
    """A deck of whole logs, longer than the person beside them is tall."""
    wide, high, ground, left = 300, 148, 140, 60
    parts = [
        f'<svg class="stack-picture" viewBox="0 0 {wide} {high}" role="img" aria-label="{escape(label)}" '
        f'width="{wide}" height="{high}"><path class="log-ground" d="M2 {ground}H{wide - 2}"/>'
    ]
    for level, count in enumerate((4, 3, 2)):
        for place in range(count):
            x = left + LOG_ROUND * (2 * place + level + 1)
            y = ground - LOG_ROUND - level * round(LOG_ROUND * 1.73)
            thick = LOG_ROUND
            arc = f"a{thick} {thick} 0 0 1 0 {2 * thick}"
            parts.append(
                f'<path class="log-bark" d="M{x} {y - thick}l60 -22{arc}L{x} {y + thick}z"/>'
                f'<circle class="log-end" cx="{x}" cy="{y}" r="{thick - 1}"/>'
                f'<circle class="log-ring" cx="{x}" cy="{y}" r="{thick // 2}"/>'
            )
    parts.append(_person(round(0.2 * FT), ground))
    parts.append("</svg>")
    return "".join(parts)


def bundles_picture(*, label: str) -> str:
    """Three bundles of kindling, tied."""
    parts = [
        f'<svg class="stack-picture" viewBox="0 0 300 80" role="img" aria-label="{escape(label)}" '
        'width="300" height="80"><path class="log-ground" d="M2 72H298"/>'
    ]
    for x, y in ((60, 40), (150, 40), (105, 8)):
        sticks = "".join(f"M{x} {y + step}h84" for step in range(2, 32, 6))
        parts.append(
            f'<rect class="log-front" x="{x}" y="{y}" width="84" height="31" rx="3"/>'
            f'<path class="stick" d="{sticks}"/><path class="twine" d="M{x + 20} {y}v31m44 0v-31"/>'
        )
    parts.append("</svg>")
    return "".join(parts)


def _person(x: int, ground: int) -> str:
    """A plain figure five feet seven tall."""
    high = round(PERSON_FT * FT)
    top = ground - high
    mid = x + 18
    return (
        f'<g class="person"><circle cx="{mid}" cy="{top + 10}" r="9"/>'
        f'<path d="M{mid - 12} {top + 26}q12 -8 24 0l4 42h-6l-3 -24v{high - 68}h-7v-40h-2v40h-7'
        f'v{-(high - 68)}l-3 24h-6z"/></g>'
    )


def trailer_picture(fill: float, heap: float = 0.0) -> str:
    """A box trailer from the side, filled to a share of its side and heaped above by a share of it.

    Without a name of its own: it stands beside the words that say the same.
    """
    wide, high, left, floor = 84, 22, 14, 46
    top = floor - round(high * fill)
    crown = round(high * heap)
    wood = f"M{left} {floor}V{top}q{wide / 2:g} {-2 * crown} {wide} 0V{floor}z"
    return (
        '<svg class="fill-picture" viewBox="0 0 112 60" width="112" height="60" aria-hidden="true" '
        f'focusable="false"><path class="log-ground" d="M2 57H110"/><path class="log-fill" d="{wood}"/>'
        f'<path class="box-side" d="M{left} {floor - high}V{floor}H{left + wide}V{floor - high}"/>'
        f'<path class="box-side" d="M{left} {floor}H3"/><circle class="box-wheel" cx="50" cy="50" r="7"/>'
        '<circle class="box-wheel" cx="68" cy="50" r="7"/>'
        "</svg>"
    )


def row_picture(length_ft: float) -> str:
    """A stacked row four feet high from its front, as long as it is beside the others; no name of its own."""
    wide = max(8, round(length_ft * 4))
    return (
        '<svg class="fill-picture" viewBox="0 0 112 60" width="112" height="60" aria-hidden="true" '
        f'focusable="false"><path class="log-ground" d="M2 57H110"/>'
        f'<path class="log-fill" d="M{(112 - wide) / 2:g} 56v-26h{wide}v26z"/></svg>'
    )


LANES = {
    # a truck from the front, hardly wider than the gap between two posts
    "narrow": (
        '<path class="box-side" d="M29 56V10M83 56V10M29 22H8M29 38H8M83 22h21M83 38h21"/>'
        '<rect class="log-fill" x="34" y="18" width="44" height="32" rx="4"/>'
        '<rect class="log-gap" x="40" y="23" width="32" height="11" rx="2"/>'
        '<rect class="box-wheel" x="38" y="49" width="8" height="7"/>'
        '<rect class="box-wheel" x="66" y="49" width="8" height="7"/>'
    ),
    # a truck and its trailer on a slope
    "steep": (
        '<path class="log-bark" d="M2 56L110 20V56z"/>'
        '<g transform="translate(16 51) rotate(-18.4)">'
        '<rect class="log-fill" x="0" y="-21" width="32" height="13"/>'
        '<path class="box-side" d="M32 -9H42"/><path class="log-fill" d="M42 -8V-21H56L60 -30H72V-8z"/>'
        '<circle class="box-wheel" cx="11" cy="-5" r="5"/>'
        '<circle class="box-wheel" cx="22" cy="-5" r="5"/>'
        '<circle class="box-wheel" cx="48" cy="-5" r="5"/>'
        '<circle class="box-wheel" cx="66" cy="-5" r="5"/></g>'
    ),
    # from above: a lane that ends, a truck with its trailer in it, and no way around
    "no_turn": (
        '<path class="box-side" d="M2 14H104V46H2"/>'
        '<rect class="log-fill" x="10" y="22" width="28" height="16"/><path class="box-side" d="M38 30H46"/>'
        '<rect class="log-fill" x="46" y="23" width="24" height="14" rx="3"/>'
        '<path class="no-way" d="M79 22L95 38M95 22L79 38"/>'
    ),
}


def lane_picture(key: str) -> str:
    """What a truck meets on the way in; no name of its own: it stands beside the words that say the same."""
    return (
        '<svg class="fill-picture" viewBox="0 0 112 60" width="112" height="60" aria-hidden="true" '
        f'focusable="false"><path class="log-ground" d="M2 57H110"/>{LANES[key]}</svg>'
    )
