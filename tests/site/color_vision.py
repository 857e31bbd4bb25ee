"""How colors look to color-blind eyes, how far apart two of them are, and how well they stand out.

Color blindness: the linear model of Machado, Oliveira and Fernandes, "A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15 (6), 2009,
severity 1. Difference: CIEDE2000, as Sharma, Wu and Dalal write it, Color Research and Application 30 (1),
2005. sRGB by IEC 61966-2-1, white D65. Contrast: WCAG 2.2, relative luminance.
"""

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

type Triple = tuple[float, float, float]

EYES: dict[str, tuple[Triple, Triple, Triple]] = {
    "all colors": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900),
    ),
}  # fmt: skip
TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
WHITE = (0.95047, 1.0, 1.08883)


def linear(color: str) -> Triple:
    """The light of #rrggbb, each part from 0 to 1."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return red, green, blue


def seen_by(color: str, eyes: str) -> Triple:
    """The light an eye of this kind takes a color for."""
    return _times(EYES[eyes], linear(color), within=True)


def lab(light: Triple) -> Triple:
    """CIELAB of linear light."""
    x, y, z = (
        share ** (1 / 3) if share > 216 / 24389 else (24389 / 27 * share + 16) / 116
        for share in (part / white for part, white in zip(_times(TO_XYZ, light), WHITE, strict=True))
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colors, from 1 to 21."""
    dark, light = sorted(_times(TO_XYZ, linear(color))[1] for color in (one, other))
    return (light + 0.05) / (dark + 0.05)


def difference(one: Triple, other: Triple) -> float:
    """CIEDE2000 between two colors of CIELAB: about 1 is seen side by side, 10 at a glance."""
    (light_1, a_1, b_1), (light_2, a_2, b_2) = one, other
    mean_c7 = ((hypot(a_1, b_1) + hypot(a_2, b_2)) / 2) ** 7
    stretch = 1 + (1 - sqrt(mean_c7 / (mean_c7 + 25**7))) / 2
    chroma_1, chroma_2 = hypot(a_1 * stretch, b_1), hypot(a_2 * stretch, b_2)
    hue_1, hue_2 = (degrees(atan2(b, a * stretch)) % 360 for a, b in ((a_1, b_1), (a_2, b_2)))
    turn = 0.0 if chroma_1 * chroma_2 == 0 else (hue_2 - hue_1 + 180) % 360 - 180
    middle = hue_1 + hue_2 if chroma_1 * chroma_2 == 0 else (hue_1 + turn / 2) % 360
    light, chroma = (light_1 + light_2) / 2, (chroma_1 + chroma_2) / 2
    weight = (
        1
        - 0.17 * cos(radians(middle - 30))
        + 0.24 * cos(radians(2 * middle))
        + 0.32 * cos(radians(3 * middle + 6))
        - 0.20 * cos(radians(4 * middle - 63))
    )
    by_light = (light_2 - light_1) / (1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2))
    by_chroma = (chroma_2 - chroma_1) / (1 + 0.045 * chroma)
    by_hue = 2 * sqrt(chroma_1 * chroma_2) * sin(radians(turn / 2)) / (1 + 0.015 * chroma * weight)
    spin = 2 * sqrt(chroma**7 / (chroma**7 + 25**7)) * sin(radians(60 * exp(-(((middle - 275) / 25) ** 2))))
    return sqrt(by_light**2 + by_chroma**2 + by_hue**2 - spin * by_chroma * by_hue)


def _times(rows: tuple[Triple, Triple, Triple], light: Triple, *, within: bool = False) -> Triple:
    red, green, blue = (sum(a * b for a, b in zip(row, light, strict=True)) for row in rows)
    return (_within(red), _within(green), _within(blue)) if within else (red, green, blue)


def _within(part: float) -> float:
    return min(max(part, 0.0), 1.0)
