"""Monthly normals of the places where drying was observed.

Estimates: rounded climate normals, within 1 C, 4 points of humidity and a quarter of the rain.
"""

from inventory.drying.weather import Normals, Source


def _place(name: str, temp_c: str, rh_pct: str, wind_m_s: float, rain_mm: str) -> Source:
    def twelve(text: str) -> tuple[float, ...]:
        return tuple(float(word) for word in text.split())

    normals = Normals(
        temp_c=twelve(temp_c), rh_pct=twelve(rh_pct), wind_m_s=(wind_m_s,) * 12, rain_mm=twelve(rain_mm)
    )
    return Source(name=name, description="estimate", normals=normals)


CANTERBURY = _place(
    "Canterbury NZ, warm and dry", "17 16.5 15 12 9 6 6 7.5 9.5 11.5 13.5 15.5",
    "66 70 73 77 82 84 82 78 70 68 66 66", 3.5, "45 42 50 48 55 55 62 58 42 48 48 48",
)  # fmt: skip
SOUTHLAND = _place(
    "Southland NZ, cold and wet", "14 14 12.5 10 7.5 5 5 6 8 9.5 11 13",
    "78 80 82 84 87 88 88 85 80 78 77 77", 4.0, "105 85 95 95 110 100 85 75 80 90 85 100",
)  # fmt: skip
FINLAND = _place(
    "central Finland", "-8 -8.5 -4 2 9 14 16.5 14.5 9 4 -1 -6",
    "90 87 81 71 64 66 72 79 85 89 92 92", 3.0, "45 33 36 32 42 65 80 70 58 65 56 48",
)  # fmt: skip
MARYLAND = _place(
    "Maryland", "1 2.5 7 12.5 18 23 25.5 24.5 20.5 14 8.5 3",
    "63 61 59 58 65 67 68 70 71 69 66 65", 3.2, "80 72 100 85 95 95 105 90 100 85 82 88",
)  # fmt: skip
FAIRBANKS = _place(
    "Fairbanks", "-23 -19 -11.5 0.5 9.5 15.5 17 13.5 7 -4.5 -16.5 -20.5",
    "70 66 60 56 50 57 65 72 70 76 75 73", 2.2, "15 11 6 8 15 35 55 48 28 21 17 16",
)  # fmt: skip
UPPER_AUSTRIA = _place(
    "Upper Austria", "-0.5 1 5 10 14.5 18 20 19.5 15 10 4.5 0.5",
    "83 78 71 64 66 67 66 69 75 81 86 86", 2.3, "60 52 65 58 80 95 100 95 72 58 60 66",
)  # fmt: skip
RHINELAND = _place(
    "Rhineland", "2 3 6 10 14 17 19 18.5 14.5 10.5 6 3",
    "84 80 74 69 70 71 70 72 78 83 86 87", 2.8, "62 52 58 52 65 68 72 68 60 66 66 72",
)  # fmt: skip
POLAND = _place(
    "central Poland", "-1.5 -0.5 3.5 9 14 17.5 19.5 19 14 9 4 0",
    "87 83 76 68 68 69 70 71 77 83 88 89", 3.3, "32 28 35 32 55 58 78 58 48 38 36 36",
)  # fmt: skip
TASMANIA = _place(
    "northeast Tasmania", "17 17 15.5 12.5 10 8 7 8 9.5 11.5 13.5 15.5",
    "64 66 68 73 79 82 82 78 73 68 66 64", 3.5, "45 38 42 60 62 65 78 85 65 58 52 52",
)  # fmt: skip
