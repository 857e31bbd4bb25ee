"""Maps carry our own controls and marks: no stock image of the library is shipped, and none is asked for."""

import re
from pathlib import Path

STATIC = Path(__file__).resolve().parents[2] / "firewood_site/static/firewood_site"
PICTURES = {".png", ".jpg", ".gif", ".webp"}


def test_no_picture_of_a_library_is_shipped():
    assert [path.name for path in (STATIC / "vendor").rglob("*") if path.suffix in PICTURES] == []


def test_no_style_sheet_asks_for_a_picture_that_is_not_there():
    sheets = list(STATIC.rglob("*.css"))
    asked = [
        (sheet.name, found)
        for sheet in sheets
        for found in re.findall(r"url\(([^)#]+)\)", sheet.read_text("utf-8"))
        if not (sheet.parent / found.strip("\"'")).exists()
    ]

    assert len(sheets) >= 2
    assert asked == []


def test_every_mark_on_a_map_names_its_own_drawing():
    script = (STATIC / "map.js").read_text("utf-8")
    marks = re.findall(r"L\.marker\([^;]*?\)\.(?:addTo|bindPopup)", script)

    assert len(marks) >= 4
    assert [mark for mark in marks if "icon" not in mark] == []
    assert "zoomControl: false" in script
    assert "zoomInText: sign(" in script
