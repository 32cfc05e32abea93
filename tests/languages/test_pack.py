"""A language is one folder: found, read whole, and honest about what is not in it."""

from importlib.resources import files

import pytest
import yaml

from cuetrack.errors import LanguageError
from cuetrack.languages.folders import language_file, languages_with
from cuetrack.languages.normalisation import say_as
from cuetrack.languages.numbers import number_in_words
from cuetrack.languages.pack import WITHOUT, load_language, missing_files
from cuetrack.languages.phrases import load_phrases
from cuetrack.languages.reading_level import reading_rules
from cuetrack.languages.review_words import review_words
from cuetrack.languages.vocabulary import vocabulary

ENGLISH = files("cuetrack.languages").joinpath("en")


def english(name):
    return yaml.safe_load(ENGLISH.joinpath(name).read_text("utf-8"))


@pytest.fixture
def write(tmp_path, monkeypatch):
    """Write a file of a language of one's own."""
    monkeypatch.setenv("CUETRACK_LANGUAGES", str(tmp_path))

    def put(code, name, content):
        path = tmp_path / code / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(content, allow_unicode=True), "utf-8")
        return path

    return put


def own_phrases(**changes):
    own = {"language": "eo", "name": "Esperanto", "voice": "espeak:eo"}
    easy = {"movement": "facila marŝo", "how": "Levu la piedojn."}
    return english("phrases.yaml") | own | {"easy movement": easy} | changes


def test_english_is_whole():
    """The folder that comes along lacks nothing that a language may have."""
    language = load_language("en")
    assert missing_files(language.code) == ()
    assert language.phrases is load_phrases("en-GB")
    assert {*WITHOUT} <= {entry.name for entry in ENGLISH.iterdir()}


def test_a_folder_of_ones_own_adds_a_language(write):
    """Phrases alone make a language; all else is told with what follows."""
    write("eo", "phrases.yaml", own_phrases())
    language = load_language("eo-XX")
    assert language.phrases.name == "Esperanto"
    assert language.reading is language.review is None
    assert {each.name: each.effect for each in missing_files(language.code)} == WITHOUT
    assert "eo" in languages_with("phrases.yaml")


def test_each_file_is_taken_from_the_first_folder_that_has_it(write):
    """A folder may say one thing differently and leave the rest as it comes."""
    own = write("en", "phrases.yaml", english("phrases.yaml") | {"name": "Ours"})
    assert language_file("en", "phrases.yaml") == own
    assert load_phrases("en").name == "Ours"
    assert missing_files("en") == ()


def test_a_language_without_phrases_is_refused_by_name():
    """German has its marks only; those that can be used are named."""
    with pytest.raises(LanguageError, match=r"language 'de'.*Use one of these: .*en"):
        load_language("de")


@pytest.mark.parametrize(
    ("name", "key", "read"),
    [
        ("review.yaml", "water", review_words),
        ("reading.yaml", "longest cue", reading_rules),
        ("vocabulary.yaml", "regions", vocabulary),
        ("normalisation.yaml", "units", lambda code: say_as("1 s", code)),
        ("phrases.yaml", "easy movement", load_phrases),
    ],
)
def test_what_is_missing_in_a_file_is_told_by_file_and_name(write, name, key, read):
    """With the remedy, and at once."""
    table = english(name)
    del table[key]
    path = write("eo", name, table | {"wather": []})
    with pytest.raises(LanguageError) as caught:
        read("eo")
    message = str(caught.value)
    assert f"{path}: '{key}' is missing" in message
    assert "Write it after the English file of that name." in message
    assert f"{path}: the file: 'wather' is not known." in message


@pytest.mark.parametrize(
    ("name", "changes", "told"),
    [
        ("review.yaml", {"water": ["si(p"]}, r"water: 'si\(p' is no text or no patt"),
        ("review.yaml", {"water": [5]}, "water: 5 is no text"),
        ("reading.yaml", {"syllables": {"vowels": "[a"}}, "'vowels' is no pattern"),
        ("reading.yaml", {"level": {"higher is": "up"}}, "must be harder or easier"),
        ("normalisation.yaml", {"numbers": "some"}, "expected words or digits"),
        ("normalisation.yaml", {"between": {}}, "between: 'range' is missing"),
        ("normalisation.yaml", {"units": {"s": ["one"]}}, "units: 's' needs"),
        ("normalisation.yaml", {"decades": {}}, "decades: 20 is missing"),
    ],
)
def test_what_is_wrong_in_a_file_is_told(write, name, changes, told):
    """Never found in the tenth minute of a class."""
    path = write("eo", name, english(name) | changes)
    read = {"review.yaml": review_words, "reading.yaml": reading_rules}
    with pytest.raises(LanguageError, match=told) as caught:
        read.get(name, lambda code: say_as("1 s", code))("eo")
    assert all(line.startswith(str(path)) for line in str(caught.value).splitlines())


def test_a_recovery_movement_that_nobody_knows_is_refused(write):
    """Without a library its how-to stands in the phrases."""
    path = write(
        "eo", "phrases.yaml", own_phrases(**{"easy movement": {"movement": "x"}})
    )
    with pytest.raises(LanguageError, match="easy movement: 'how' is missing"):
        load_language("eo")
    assert path.exists()


def test_numbers_come_from_num2words_where_it_has_the_language(write):
    """Its words for German, by its own tests: zwölf, einundzwanzig, dritte.

    It has no Chinese: what to write instead is said.
    """
    assert number_in_words(12, "de") == "zwölf"
    assert number_in_words(21, "de-CH") == "einundzwanzig"
    assert number_in_words(3, "de", ordinal=True) == "dritte"
    write("zh", "phrases.yaml", own_phrases(language="zh"))
    with pytest.raises(LanguageError, match=r"'zh'\. Write 'numbers' and 'ordinals'"):
        load_phrases("zh")
    write(
        "zh-tw",
        "phrases.yaml",
        own_phrases(language="zh-tw", numbers={1: "一"}, ordinals={1: "第一"}),
    )
    assert load_phrases("zh-TW").number(1) == "一"
    assert load_phrases("zh-TW").number(2) == "2"


def test_numbers_follow_the_marks_of_their_language(write):
    """A decimal comma and points between thousands, said in the words of German."""
    table = english("normalisation.yaml") | {"decimal mark": ",", "numbers": "words"}
    table["between"] |= {"decimals": "Komma"}
    write("de", "normalisation.yaml", table)
    assert say_as("2,5", "de") == "zwei Komma fünf"
    assert say_as("1.200", "de") == "eintausendzweihundert"
