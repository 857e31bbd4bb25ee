"""What is closed or asked for on a day, with its hours, and the caution for saws, burning and chains."""

from django.utils.translation import gettext

from firewood_site.templatetags.firewood import clock as clock_words
from inventory.selectors.spoken import reader_language
from orders.core.places import caution
from routing.selectors.days.shuts import ShutRow

SAW, BURN, WINDOW, CHAIN = "saw", "burn", "open", "chain"
IN_THE_WOODS = (SAW, BURN, WINDOW)
CAUTIONS = {SAW: "saw_hours", BURN: "burning", WINDOW: "burning", CHAIN: "chains"}


def closure_notes(shut: tuple[ShutRow, ...], *, kinds: tuple[str, ...] = ()) -> tuple[str, ...]:
    """One line for each closure of a day, of these kinds or of all; then each caution that applies, once."""
    rows = [row for row in shut if not kinds or row.kind in kinds]
    lines = [f"{row.what or row.kind_words}{_hours(row)}: {row.reason}" for row in rows]
    told = dict.fromkeys(CAUTIONS[row.kind] for row in rows if row.kind in CAUTIONS)
    language = reader_language()
    return (*lines, *(caution(topic).text_in(language) for topic in told))


def _hours(row: ShutRow) -> str:
    if row.from_time is None or row.to_time is None:
        return ""
    hours = gettext("{first} to {last}").format(
        first=clock_words(row.from_time), last=clock_words(row.to_time)
    )
    return f", {hours}"
