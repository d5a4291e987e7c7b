"""The two words for one thing: the British trade's and the US trade's. Texts are said in one, both are understood."""

from __future__ import annotations

US_WORDS = {
    "damper": "shock", "dampers": "shocks", "rod": "shaft", "rods": "shafts", "vice": "vise", "vices": "vises",
    "through-rod": "through-shaft",
    "tyre": "tire", "tyres": "tires", "centre": "center", "centres": "centers", "metre": "meter", "metres": "meters",
    "millimetre": "millimeter", "millimetres": "millimeters", "litre": "liter", "litres": "liters",
    "millilitre": "milliliter", "millilitres": "milliliters", "colour": "color", "colours": "colors",
    "judgement": "judgment", "e-mail": "email", "e-mails": "emails", "cheque": "check", "labour": "labor",
    "licence": "license", "programme": "program", "authorise": "authorize", "authorised": "authorized",
    "spanner": "wrench", "grey": "gray", "aluminium": "aluminum", "mould": "mold", "towards": "toward",
    "cancelled": "canceled", "labelled": "labeled", "catalogue": "catalog", "behaviour": "behavior",
}  # fmt: skip
"""British word to the one of the US trade. Nothing here may have another meaning in a sentence of the program."""

OTHER = {**US_WORDS, **{american: british for british, american in US_WORDS.items()}}
SHORTEST_BEGINNING = 4
"""From so many letters on the beginning of a word counts as the word: "shoc" is a shock, "sha" may be anything."""
MOST_WAYS = 8


def both_words(word: str) -> list[str]:
    """Give a folded word and what the other trade calls the same thing, or what it begins to be called."""
    if word in OTHER:
        return [word, OTHER[word]]
    begun = [other for known, other in OTHER.items() if known.startswith(word)]
    return list(dict.fromkeys([word, *(begun if len(word) >= SHORTEST_BEGINNING else [])]))


def both_ways(text: str) -> list[str]:
    """Say a folded text in every mixture of the two trades' words, itself in front; at most MOST_WAYS of them."""
    ways = [""]
    for word in text.split():
        ways = [f"{way} {one}".strip() for one in both_words(word) for way in ways][:MOST_WAYS]
    return ways
