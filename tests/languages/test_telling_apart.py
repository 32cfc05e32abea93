"""Sentences in another language are told; those of the class's own are let be."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import cuetrack
from cuetrack.languages.phrases import FILE
from cuetrack.languages.telling_apart import foreign_language

EXAMPLES = Path(__file__).parents[2] / "examples"
TOLD = {
    "French": (
        "Asseyez-vous bien droit, les deux pieds à plat sur le sol.",
        "Levez un pied, puis l'autre.",
        "Reposez-vous. Respirez calmement et buvez un peu d'eau.",
    ),
    "Spanish": (
        "Siéntese erguido, con los pies apoyados en el suelo.",
        "Si siente dolor en el pecho, pare y avise a alguien.",
    ),
    "Italian": (
        "Sedetevi dritti, con i piedi ben appoggiati a terra.",
        "Abbassate le braccia piano e appoggiate le mani sulle gambe.",
    ),
    "Portuguese": (
        "Se sentir dor no peito ou tontura, pare e avise alguém.",
        "Baixe os braços devagar e apoie as mãos nas pernas.",
    ),
    "German": (
        "Setzen Sie sich auf den Stuhl, beide Füße auf dem Boden.",
        "Heben Sie langsam den rechten Arm.",
    ),
    "Dutch": ("Ga rechtop zitten, met de voeten plat op de grond.",),
    "Swedish": ("Sitt rakt, med fötterna platt på golvet.", "Lyft en fot i taget."),
    "Polish": ("Usiądź prosto, stopy płasko na podłodze.",),
}
AT_HOME = (
    "A grand plié, then port de bras to the left.",
    "Salsa step: cha cha, then pas de bourrée.",
    "Tai chi arms, as in cloud hands.",
    "Come to the front, then pour from the jug.",
    "Heel dig, toe tap, heel dig, toe tap.",
    "Sing along: la la la, la la la.",
    "Pas de deux, en avant.",
)


@pytest.mark.parametrize(
    ("language", "text"), [(name, text) for name, some in TOLD.items() for text in some]
)
def test_a_foreign_sentence_is_told_by_its_language(language, text) -> None:
    """Plain sentences of an instructor in eight languages, written by us."""
    assert foreign_language(text, "en-GB") == language


@pytest.mark.parametrize("text", AT_HOME)
def test_foreign_names_and_terms_are_let_pass(text) -> None:
    """Dance words, names and words that only look foreign tell nothing."""
    assert foreign_language(text, "en") is None


def texts_in(data):
    """Yield every text in what YAML holds."""
    if isinstance(data, dict):
        data = list(data.values())
    if isinstance(data, list):
        for part in data:
            yield from texts_in(part)
    elif isinstance(data, str):
        yield data


def test_no_english_text_of_the_package_is_called_foreign() -> None:
    """All phrases, all texts of the library and all examples are English."""
    english = Path(cuetrack.__file__).parent / "languages" / "en"
    files = [*english.rglob("*.yaml"), *EXAMPLES.rglob("*.yaml")]
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    texts = [
        text
        for file in files
        for text in texts_in(yaml.load(file.read_text("utf-8"), loader))
    ]

    assert (english / FILE) in files
    assert len(texts) > 2000
    assert not [text for text in texts if foreign_language(text, "en")]


def test_english_is_foreign_elsewhere() -> None:
    """The same holds the other way round; an unknown language judges nothing."""
    text = "Sit tall, your feet flat on the floor."
    assert foreign_language(text, "de") == "English"
    assert foreign_language(text, "cy") is None
