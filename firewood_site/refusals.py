"""Where a step that was refused becomes a sentence on the page, in the reader's language."""

from types import TracebackType
from typing import Self

from django.core.exceptions import ValidationError
from django.forms import BaseForm

from inventory.core.sentences import Refusal, text_of
from inventory.selectors.spoken import reader_language


class PageRefusal(Refusal):
    """A page itself says no, with a sentence ready for the reader: too many, no picture, too far."""


REFUSALS = (Refusal, ValidationError)


class refusals:
    """Run a step; where it is refused, keep its sentence, and put it on the form if there is one.

    Anything but a refusal travels on. True after one.
    """

    def __init__(self, form: BaseForm | None = None) -> None:
        self.form = form
        self.error: BaseException | None = None
        self.text = ""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> bool:
        if not isinstance(error, REFUSALS):
            return False
        self.error, self.text = error, refusal_words(error)
        if self.form is not None:
            field = getattr(error, "field", None)
            by_field = set(getattr(error, "error_dict", ()))
            if isinstance(error, ValidationError) and by_field and by_field <= set(self.form.fields):
                self.form.add_error(None, error)
            else:
                self.form.add_error(field if field in self.form.fields else None, self.text)
        return True

    @property
    def status(self) -> int:
        """What the page answers with: 422, or 429 after too many."""
        return int(getattr(self.error, "status", 422))

    def __bool__(self) -> bool:
        return self.error is not None


def refusal_words(error: BaseException) -> str:
    """The sentence to show, in the reader's language."""
    if isinstance(error, ValidationError):
        return " ".join(error.messages)
    return str(text_of(error, reader_language()))
