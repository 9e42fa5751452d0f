"""en/author.toml: what the coach reads who edits the content."""

from coach.model.base import Line
from coach.model.page_words.page import PageWords


class AuthorWords(PageWords):
    """What the coach reads who edits the content."""

    file = "author.toml"

    schemas_written: Line
