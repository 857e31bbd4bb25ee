"""Maps and small drawings as text: SVG, GPX 1.1, GeoJSON. Pure functions: no Django, no tables."""
