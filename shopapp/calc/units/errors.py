"""The error of the unit calculations, and how foreign text is shown in it."""

SHOWN_CHARACTERS = 40


class UnitError(ValueError):
    """A figure or a unit that cannot be read or converted; its text is a sentence for the user."""


def shown(text: str) -> str:
    """Return `text` as an error may quote it: short, and without anything unprintable.

    Lone surrogates and control characters become U+FFFD, so that the sentence can always be
    encoded and stored.
    """
    clipped = text[:SHOWN_CHARACTERS]
    clean = "".join(c if c.isprintable() else "\ufffd" for c in clipped)
    return f"“{clean}…”" if len(text) > SHOWN_CHARACTERS else f"“{clean}”"
