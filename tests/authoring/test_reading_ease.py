"""Reading ease against published numbers and against syllables counted by hand."""

import pytest

from coach.authoring.reading_ease import FORMULAS, TextCounts, english_syllables, german_syllables, level

# Counted by hand, as they are spoken.
ENGLISH = """
a-bove an-chor an-swer ar-e-a band breast-bone care-ful-ly chang-es chest de-grees di-ag-no-sis dis-tance
el-bow e-mer-gen-cy ev-er-y ex-er-cise eyes fore-arm gap hand i-de-a lev-el lim-it lit-tle moved mus-cles
move-ment nev-er num-ber op-er-a-tion out-ward pain past place pro-gram re-pe-ti-tion reached rest-ed
safe-ty ses-sion shoul-der side-ways sim-ple some-thing stop stopped stretched sur-geon swol-len taut the
ther-a-pist times turn-ing wall wheeze with-in
"""
GERMAN = """
Au-ge Arm au-ßen Band Be-fes-ti-gung be-quem Bo-den Di-a-gno-se dre-hen El-len-bo-gen Ein-heit Fuß-län-ge
Hand ih-re Knie Li-ni-e neu O-pe-ra-ti-on o-ben Pra-xis Schmerz Schul-ter schrei-ben Ü-bung ü-ber Un-ter-arm
Wie-der-ho-lung zu-erst zu-rück
"""


@pytest.mark.parametrize("parts", ENGLISH.split())
def test_english_words_have_the_syllables_that_are_heard(parts: str) -> None:
    assert english_syllables(parts.replace("-", "")) == parts.count("-") + 1


@pytest.mark.parametrize("parts", GERMAN.split())
def test_german_words_have_the_syllables_that_are_heard(parts: str) -> None:
    assert german_syllables(parts.replace("-", "")) == parts.count("-") + 1


@pytest.mark.parametrize(
    ("words", "syllables", "published"),
    [
        (13, 24, 37.5),  # "The Australian platypus is seemingly a hybrid ...", encyclopaedias' example (memory)
        (6, 6, 116.1),  # "The cat sat on the mat."
        (15, 22.5, 64.71),  # worked examples of calculators: 15 words a sentence, 1.5 syllables a word
        (20, 24, 85.02),
    ],
)
def test_the_english_formula_is_fleschs(words: int, syllables: float, published: float) -> None:
    assert FORMULAS["en"].ease(TextCounts(2 * words, 2, round(2 * syllables))) == pytest.approx(published, abs=0.06)


def test_a_sentence_is_counted_and_judged() -> None:
    """Six words of one syllable, and a German sentence of four words and six syllables: 180 - 4 - 58.5 * 6 / 4."""
    english, german = FORMULAS["en"], FORMULAS["de"]
    assert english.count("The cat sat on the mat.") == TextCounts(6, 1, 6)
    found = german.count("Die Schulter bleibt hinten.")
    assert found == TextCounts(4, 1, 6)
    assert german.ease(found) == pytest.approx(88.25)


def test_marks_end_sentences_and_a_place_or_a_figure_is_one_short_word() -> None:
    found = FORMULAS["en"].count("{sets} {sets|set|sets}: rest {rest} s. Turn 90.5 degrees; stop!")
    assert found == TextCounts(words=9, sentences=4, syllables=10)


def test_harder_text_is_named_harder() -> None:
    assert [level(ease) for ease in (95, 84, 65, 29, -3)] == [
        "very easy",
        "easy",
        "standard",
        "very difficult",
        "very difficult",
    ]
