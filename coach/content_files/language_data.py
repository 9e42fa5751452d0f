"""The rules of a language for plurals, numbers and dates, from the Unicode Common Locale Data Repository."""

from datetime import datetime
from decimal import Decimal

from coach.model.message_format import ENGLISH, Language

FALLBACK = ENGLISH.name  # the content that comes with the program is complete in it
# The order in which the plural forms of a word are written: the categories of CLDR.
_ORDER = ("zero", "one", "two", "few", "many", "other")


def is_language(name: str) -> bool:
    """Whether a code of two small letters is a language of CLDR."""
    from babel.core import Locale, UnknownLocaleError

    try:
        Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        return False
    return True


def load_language(name: str) -> Language:
    """The language with a code of two small letters. One that is not in CLDR follows the rules of English."""
    if name == ENGLISH.name:
        return ENGLISH
    from babel.core import Locale, UnknownLocaleError  # 16 ms, and 12 for the data of a language

    try:
        locale = Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        return ENGLISH
    forms = tuple(form for form in _ORDER if form == "other" or form in locale.plural_form.tags)

    def form(count: str) -> int:
        try:
            return forms.index(locale.plural_form(Decimal(count)))
        except ArithmeticError:  # no number: the widest form
            return len(forms) - 1

    def on(day: str, time: str) -> str:
        from babel.dates import format_date, format_time

        try:
            at = datetime.fromisoformat(f"{day} {time}".strip())
        except ValueError:  # no such day
            return f"{day} {time}".strip()
        written = format_date(at, "medium", locale=locale)
        return f"{written}, {format_time(at, 'short', locale=locale)}" if time else written

    return Language(name, forms, form, locale.number_symbols["latn"]["decimal"], on)
