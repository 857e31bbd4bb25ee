"""What the seller wrote in their own words, in one language or in both.

The other language follows the first with its sign before it: "fall 2027 / es: otoño de 2027".
"""

import re

SIGN = re.compile(r"(?:^|\s*[/\n]\s*)(en|es):\s*", re.IGNORECASE)


def own_words(text: str, *, language: str, written_in: str, anyway: bool = False) -> str:
    """The seller's words in a language; where they wrote none in it, "", or `anyway` what stands first.

    written_in: the language of what stands before the first sign.

    >>> own_words("fall 2027 / es: otoño de 2027", language="es", written_in="en")
    'otoño de 2027'
    >>> own_words("fall 2027", language="es", written_in="en")
    ''
    """
    first, *others = (str(part) for part in SIGN.split(text))
    said = dict(zip((sign.lower() for sign in others[::2]), others[1::2], strict=True))
    return said.get(language, first if anyway or language == written_in else "").strip()
