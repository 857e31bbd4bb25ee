"""Kinds of wood as they are sold: the words of a price sheet. Kinds of tree are in `species`."""

from enum import StrEnum


class Wood(StrEnum):
    """What a lot is sold as. The value stands in lots, orders and price sheets."""

    FIR = "fir"
    HARDWOOD = "hardwood"
    MIXED = "mixed"
    KINDLING = "kindling"
    LOGS = "logs"


ENGLISH_NAMES = {
    Wood.FIR: "fir",
    Wood.HARDWOOD: "hardwood",
    Wood.MIXED: "mixed wood",
    Wood.KINDLING: "kindling",
    Wood.LOGS: "log length",
}
SPLIT_WOODS = (Wood.FIR, Wood.HARDWOOD, Wood.MIXED)  # sold by the cord with a price for each dryness


def english_name(wood: str) -> str:
    """A wood's name in English, from which translations start; an unknown word stands for itself."""
    return next((name for key, name in ENGLISH_NAMES.items() if key == wood), wood)
