"""How the wood's ledgers name an order: worded and read in this one place.

A hold or a movement is for somebody by name, or for an order; what an order is, the wood does not know.
"""

from inventory.core.sentences import Sentence

ORDER = "order "


def order_reference(number: int) -> str:
    """The name of an order in a ledger.

    >>> order_reference(205)
    'order 205'
    """
    return f"{ORDER}{number}"


def order_number(reference: str) -> int | None:
    """The number of the order a ledger names; None where it names somebody or something else.

    >>> order_number("order 205"), order_number("Order 205"), order_number("Hob Tanner")
    (205, 205, None)
    """
    kind, _, number = reference.partition(" ")
    return int(number) if f"{kind.lower()} " == ORDER and number.isdecimal() else None


def named(reference: str, *, is_first: bool = False) -> Sentence | str:
    """A reference in a sentence, or as its first word: an order by its number, a name as it was typed."""
    number = order_number(reference)
    if number is None:
        return f"{reference[:1].upper()}{reference[1:]}" if is_first else reference
    return Sentence("Order {number}" if is_first else "order {number}", {"number": number})
