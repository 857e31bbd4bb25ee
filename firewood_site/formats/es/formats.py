"""Spanish as the American West writes figures: 2,300.5, the same on every page."""

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
