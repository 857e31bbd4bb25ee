"""Days of a thing in one field, one a line as people say them: started May 1, 2026."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import DayField
from inventory.selectors.spoken import full_date

MOST_LETTERS = 600


class DatedLines(forms.CharField):
    """What happened, or must have, and its day; cleaned as a day, or none, for each column.

    words: what a line begins with, and the column its day is kept in.
    """

    def __init__(self, *, words: Mapping[str, str], **kwargs: Any) -> None:
        first, *others = words
        super().__init__(
            required=False,
            max_length=MOST_LETTERS,
            widget=forms.Textarea(attrs={"rows": 4, "placeholder": f"{first} May 1, 2026"}),
            help_text=f"One a line: {first} May 1, 2026. Also: {', '.join(others)}.",
            **kwargs,
        )
        self.words = words

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, Mapping):
            return value
        known = [(said, value.get(column)) for said, column in self.words.items()]
        return "\n".join(f"{said} {full_date(on)}" for said, on in known if on)

    def clean(self, value: Any) -> Any:
        said = super().clean(value)
        found: dict[str, date | None] = dict.fromkeys(self.words.values())
        for line in filter(None, (line.strip() for line in said.splitlines())):
            words = next((words for words in self.words if line.casefold().startswith(words)), None)
            if words is None:
                listed = ", ".join(self.words)
                told = {"line": line, "listed": listed}
                raise forms.ValidationError('"%(line)s" begins with none of: %(listed)s.', params=told)
            try:
                found[self.words[words]] = DayField().clean(line[len(words) :].strip(" :,"))
            except forms.ValidationError as error:
                unread = '"%(line)s": write the day with its year, such as %(words)s May 1, 2026.'
                raise forms.ValidationError(
                    unread if error.code in ("invalid", "required") else '"%(line)s": %(problem)s',
                    params={"line": line, "words": words, "problem": error.messages[0]},
                ) from error
        return found
