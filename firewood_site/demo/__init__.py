"""The invented seller: Quarrel Ridge Wood on Friday 18 September 2026. Nobody and nowhere in it is real."""

from datetime import date

DEMO_DAY = date(2026, 9, 18)
PASSWORD = "split-in-spring"
