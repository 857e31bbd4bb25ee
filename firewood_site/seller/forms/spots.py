"""A spot on the map said in words: a street or town of the loaded roads, or typed coordinates."""

from typing import Any

from django import forms

from routing.core.roads import EngineDown
from routing.core.streets import StreetHit
from routing.selectors.roads.current import search_streets

NOT_THERE = (
    "The loaded roads know no such place: write it as the map does, or type latitude and longitude below."
)


class SpotForm(forms.Form):
    """Latitude and longitude, looked up from words unless they are typed anew.

    looked_up: the field with the words. found: what the map called them, None for typed coordinates.
    """

    lat = forms.FloatField(label="Latitude", min_value=-90, max_value=90, required=False)
    lon = forms.FloatField(label="Longitude", min_value=-180, max_value=180, required=False)
    looked_up = "where"
    found: StreetHit | None = None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        text = str(cleaned.get(self.looked_up) or "").strip()
        if any(name in self.errors for name in ("lat", "lon", self.looked_up)):
            return cleaned
        typed = [cleaned.get("lat"), cleaned.get("lon")]
        if text and not {"lat", "lon"} & set(self.changed_data):
            self.found = _first(text, places_only=self.looked_up == "name")
            if self.found is None:
                self.add_error(self.looked_up, NOT_THERE)
            else:
                cleaned["lat"], cleaned["lon"] = self.found.lat, self.found.lon
        elif typed == [None, None]:
            self.add_error(self.looked_up, "Say where: a street or town, or latitude and longitude.")
        elif None in typed:
            self.add_error("lat" if typed[0] is None else "lon", "Type both latitude and longitude, or none.")
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
