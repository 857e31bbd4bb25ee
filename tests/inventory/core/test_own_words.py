"""What the seller wrote in both languages is read in either."""

import pytest

from inventory.core.own_words import own_words

BOTH = "Mail it to County Road 7\nes: Envíelo a County Road 7"


@pytest.mark.parametrize(
    ("text", "language", "said"),
    [
        (BOTH, "en", "Mail it to County Road 7"),
        (BOTH, "es", "Envíelo a County Road 7"),
        ("fall 2027 / ES: otoño de 2027", "es", "otoño de 2027"),
        ("es: otoño de 2027", "en", ""),
        ("Half / three-quarter loads", "en", "Half / three-quarter loads"),
        ("fall 2027", "es", ""),
        ("", "es", ""),
    ],
)
def test_each_reader_reads_their_language(text, language, said):
    assert own_words(text, language=language, written_in="en") == said


def test_what_must_be_read_stands_anyway_in_the_one_language_there_is():
    assert own_words("account 42", language="es", written_in="en", anyway=True) == "account 42"


def test_a_seller_who_writes_spanish_first_adds_english():
    assert own_words("cuenta 42 / en: account 42", language="en", written_in="es") == "account 42"
