"""A day as people write it in a sentence: with the name of its month, in a language or as a country writes it."""

from datetime import date


def day_in_words(day: date, locale: str) -> str | None:
    """The day and its month, as 26 November or 26. November; None where nothing is known of a language.

    `locale` is a language, as de, or with a country, as en_GB.
    """
    from babel.core import UnknownLocaleError
    from babel.dates import format_skeleton

    try:
        return format_skeleton("MMMMd", day, locale=locale)
    except (UnknownLocaleError, ValueError):
        return None


def written_day(day: date, language: str, locale: str | None) -> str:
    """The same where a clinic may have said how its country writes dates; else in digits, the year first."""
    same = locale is not None and locale.partition("_")[0] == language
    return day_in_words(day, locale if same and locale else language) or day.isoformat()
