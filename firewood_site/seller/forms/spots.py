"""A spot on the map said in words: a street or town of the loaded roads, or coordinates pasted from a map."""

import re
from typing import Any

from django import forms

from routing.core.roads import EngineDown
from routing.core.streets import StreetHit
from routing.selectors.roads.current import search_streets

NOT_THERE = "The loaded roads know no such place: write it as the map does, or write latitude and longitude."
NUMBER = r"-?\d{1,3}(?:\.\d+)?"
COORDINATES = re.compile(rf"\(?({NUMBER})°?\s*[,; ]\s*({NUMBER})°?\)?")
MOST_LAT, MOST_LON = 90, 180


class SpotForm(forms.Form):
    """Latitude and longitude: written or pasted, set by a tap on a map, or looked up from words.

    looked_up: the field with the words. found: what the map called them, None for coordinates.
    """

    where = forms.CharField(label="Latitude, longitude", max_length=200, required=False)
    lat = forms.FloatField(min_value=-MOST_LAT, max_value=MOST_LAT, required=False, widget=forms.HiddenInput)
    lon = forms.FloatField(min_value=-MOST_LON, max_value=MOST_LON, required=False, widget=forms.HiddenInput)
    looked_up = "where"
    found: StreetHit | None = None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        text = str(cleaned.get(self.looked_up) or "").strip()
        if any(name in self.errors for name in ("lat", "lon", self.looked_up)):
            return cleaned
        written = str(cleaned.get("where") or "").strip()
        if spot := COORDINATES.fullmatch(written):
            cleaned["lat"], cleaned["lon"] = float(spot[1]), float(spot[2])
            if abs(cleaned["lat"]) > MOST_LAT or abs(cleaned["lon"]) > MOST_LON:
                self.add_error(
                    "where", "Latitude goes from -90 to 90 and longitude from -180 to 180: 44.05, -123.09."
                )
        elif written and self.looked_up != "where":
            self.add_error("where", "Write latitude and longitude as a map shows them: 44.05, -123.09.")
        elif text and not {"lat", "lon"} & set(self.changed_data):
            self.found = _first(text, places_only=self.looked_up == "name")
            if self.found is None:
                self.add_error(self.looked_up, NOT_THERE)
            else:
                cleaned["lat"], cleaned["lon"] = self.found.lat, self.found.lon
        elif None in (cleaned.get("lat"), cleaned.get("lon")):
            self.add_error(self.looked_up, "Say where: a street or town, or latitude and longitude.")
        return cleaned


def _first(text: str, *, places_only: bool) -> StreetHit | None:
    """The best hit; towns alone where a town is asked for."""
    try:
        hits = search_streets(text, limit=40 if places_only else 1)
    except EngineDown:
        return None
    if not places_only:
        return next(iter(hits), None)
    return next((hit for hit in hits if hit.kind == "place" and _is_called(hit, text)), None)


def _is_called(hit: StreetHit, text: str) -> bool:
    """A town goes by its own name: one that merely sounds like it is another town."""
    return hit.label.partition(",")[0].strip().casefold() == text.partition(",")[0].strip().casefold()
