"""Rules of the road as pure functions: no tables, no clock, no road engine.

The family of errors starts here; each error stands beside the function that raises it.
"""

from orders.core.catalogue import Sentence


class RoutingError(Exception):
    """An anticipated failure of the road; its text is a full sentence fit for the reader."""


class DriverRefusal(RoutingError):
    """A failure a driver may meet: one sentence says it, in whatever language they read."""

    def __init__(self, sentence: Sentence) -> None:
        self.sentence = sentence
        super().__init__(str(sentence))

    def text_in(self, language: str) -> str:
        return self.sentence.text_in(language)
