"""Check plant names against ICNCP (9th edition, 2016) and ICN.

EX-52 and EX-53 are derived from those codes; the rules behind them were read in an RHS
summary of the 9th edition, a Cornell University teaching text, and ICN Art. H.2 and H.3.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.names import clean_name, epithet_length, parts, remarks, search_key

WORDS = (
    "Taxus taxus media x X × ×media xFatshedera Xanthorhiza 'Hicksii' \"Elegans\" ‘Aurea’ "
    "“Nana” 'Bees' Knees' cv. cv 'Späth Bennett's 4 4\" L. (Teller Group) , mixed &"
)
WRITTEN_NAMES = st.lists(st.sampled_from(WORDS.split())).map(" ".join)


@pytest.mark.parametrize(
    ("epithet", "length"),
    [("'Andenken an Ludwig Späth'", 21), ("'Wiltonii'", 8), ('"Bennett\'s Compacta"', 17)],
)
def test_an_epithet_is_counted_without_spaces_and_quotes(epithet, length):
    """EX-52 (derived from the RHS summary of the 9th edition)."""
    assert epithet_length(epithet) == length
    assert epithet_length(f"Syringa vulgaris {epithet}") == length


def test_an_epithet_without_quotes_is_counted_too():
    """EX-52."""
    assert epithet_length("Bennett's Compacta") == 17


def test_three_spellings_of_a_hybrid_are_found_as_one():
    """EX-53, by ICN Art. H.3.3: the × is disregarded."""
    spellings = ("Taxus x media 'Hicksii'", "Taxus ×media 'Hicksii'", "Taxus × media 'Hicksii'")

    assert {search_key(name) for name in spellings} == {"taxus media hicksii"}
    assert {clean_name(name) for name in spellings} == {"Taxus ×media 'Hicksii'"}


def test_double_quotes_are_repaired_to_single_ones():
    """EX-53."""
    assert clean_name('Taxus media "Hicksii"') == "Taxus media 'Hicksii'"
    assert search_key('Taxus media "Hicksii"') == search_key("Taxus ×media 'Hicksii'")


def test_latin_epithets_are_accepted_where_old_and_remarked_on_where_new():
    """EX-53; no Latin-form epithets from 1 January 1959 (RHS summary; FAO)."""
    assert clean_name("Cryptomeria 'Elegans'") == "Cryptomeria 'Elegans'"
    assert remarks("Cryptomeria 'Elegans'", year=1860) == []
    assert remarks("Cryptomeria 'Elegans'") == [], "without a year it cannot be told"
    assert remarks("Cryptomeria 'Elegans'", year=1958) == []
    assert "Latin" in remarks("Cryptomeria 'Elegans'", year=1959)[0]
    assert "Latin" in remarks("Cryptomeria japonica 'Aureomarginata'", year=2024)[0]


@pytest.mark.parametrize(
    "epithet", ["Smaragd", "Green Gem", "Anna", "Winter King", "Sternenzauber"]
)
def test_new_names_in_living_languages_are_not_remarked_on(epithet):
    """Common practice."""
    assert remarks(f"Phlox drummondii '{epithet}'", year=2024) == []


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        # Nomenclature note: both spellings on the left are wrong.
        ('Cryptomeria japonica "Elegans"', "Cryptomeria japonica 'Elegans'"),
        ("Berberis thunbergii cv. 'Crimson Pygmy'", "Berberis thunbergii 'Crimson Pygmy'"),
        ("Berberis thunbergii cv. Crimson Pygmy", "Berberis thunbergii 'Crimson Pygmy'"),
        # Summary of the 2016 Code.
        ("Phlox drummondii ‘Sternenzauber’", "Phlox drummondii 'Sternenzauber'"),
        (
            "hydrangea  macrophylla (Teller Group) “Blaumeise”",
            "Hydrangea macrophylla (Teller Group) 'Blaumeise'",
        ),
        # The Code as quoted: a trade designation stands without quotes.
        ("Rosa ICEBERG 'Korbin'", "Rosa ICEBERG 'Korbin'"),
        # ICN Art. H.3.1.
        ("x Agropogon littoralis", "×Agropogon littoralis"),
        ("xAgropogon littoralis", "×Agropogon littoralis"),
        ("Salix × capreola", "Salix ×capreola"),
        ("salix×capreola", "Salix ×capreola"),
        # ICN Art. H.2.1.
        ("Salix aurita L. x S. caprea L.", "Salix aurita L. × S. caprea L."),
        ("Salix aurita×Salix caprea", "Salix aurita × Salix caprea"),
        ("Salix aurita x caprea", "Salix aurita × caprea"),
        ("Salix caprea X S. x smithiana", "Salix caprea × S. ×smithiana"),
        # Common practice.
        ("Ilex crenata 'Bennett’s Compacta'", "Ilex crenata 'Bennett's Compacta'"),
        ("Rosa ‘Bees’ Knees’", "Rosa 'Bees' Knees'"),
        ("Rosa cv. Gloire de Dijon", "Rosa 'Gloire de Dijon'"),
    ],
)
def test_a_name_is_written_as_the_codes_ask(typed, written):
    assert clean_name(typed) == written
    assert search_key(typed) == search_key(written)


@pytest.mark.parametrize(
    "name",
    [
        "Xanthorhiza simplicissima",
        "Lonicera xylosteum",
        "Acer ×freemanii 'Jeffersred' AUTUMN BLAZE®",
        "Boxwood, mixed",
        "Thuja 1",
        "Boxwood 4 x 6",
        'thuja 4" pot',
        "Taxus x",
        "Rosa 'Peace",
        "Thuja occidentalis 'Smaragd', #1",
        "",
    ],
)
def test_other_names_stay_as_they_were_typed(name):
    """Common practice: a grower's own name for a plant is never refused or rewritten."""
    assert clean_name(name) == name


def test_only_the_spaces_of_a_growers_own_name_are_put_right():
    assert clean_name("  Boxwood,\u00a0 mixed ") == "Boxwood, mixed"


def test_a_search_forgives_accents_quotes_and_capitals_but_keeps_an_x_in_a_word():
    assert search_key("SYRINGA 'Andenken an Ludwig Spath'") == search_key(
        "Syringa “Andenken an Ludwig Späth”"
    )
    assert search_key("bennetts") in search_key("Ilex crenata 'Bennett's Compacta'")
    assert search_key("Xanthorhiza") == "xanthorhiza"
    assert search_key("Lonicera xylosteum") == "lonicera xylosteum"
    assert search_key("x") == ""


def test_a_name_comes_apart_for_display():
    name = parts("Taxus x media 'Hicksii'")

    assert (name.genus, name.rest, name.cultivar) == ("Taxus", "×media", "Hicksii")
    assert name.is_hybrid
    assert name.is_botanical


def test_a_growers_own_name_comes_apart_into_nothing_but_itself():
    name = parts("Boxwood, mixed")

    assert (name.genus, name.rest, name.cultivar) == ("", "Boxwood, mixed", "")
    assert not name.is_hybrid
    assert not name.is_botanical


def test_a_long_epithet_is_remarked_on_from_1996():
    """At most 30 characters from 1 January 1996 (RHS summary of the 9th edition)."""
    thirty, one_more = "Ab" * 15, "Ab" * 15 + "c"

    assert remarks(f"Rosa '{thirty}'", year=1996) == []
    assert "31 characters" in remarks(f"Rosa '{one_more}'", year=1996)[0]
    assert "31 characters" in remarks(f"Rosa '{one_more}'")[0]
    assert remarks(f"Rosa '{one_more}'", year=1995) == []


def test_a_single_letter_and_bare_numerals_are_remarked_on():
    """RHS summary of the 9th edition; a code of up to 10 letters is allowed."""
    assert "single letter" in remarks("Rosa 'Q'")[0]
    assert "only numerals" in remarks("Rosa '1984'")[0]
    assert remarks("Rosa 'Korbin'") == []
    assert remarks("Rosa canina") == []


@given(WRITTEN_NAMES | st.text())
def test_cleaning_loses_nothing_a_search_would_find_and_is_done_once(text):
    cleaned = clean_name(text)

    assert clean_name(cleaned) == cleaned
    assert search_key(cleaned) == search_key(text)
    assert str(parts(text)) == cleaned
