"""Numbers, sizes, amounts, spelling, negation and the fields that only dialogues use."""

from __future__ import annotations

import itertools

import pytest

from bot.reading.meaning import Meaning
from bot.reading.reader import Reader
from bot.reading.tokens import Cutter

CUTTER = Cutter()


def amounts(meaning: Meaning) -> list[tuple[str, float | None, str | None]]:
    return [(each.material, each.amount, each.measure) for each in meaning.materials or ()]


@pytest.mark.parametrize(
    ("text", "language", "value"),
    [
        ("12", "en", 12), ("1.5", "en", 1.5), ("1,5", "en", 1.5), ("1,500", "en", 1500), ("0,5", "en", 0.5),
        ("01,000,000", "en", 1e6), ("0,000.5", "en", 0.5), ("1/2", "en", 0.5),
        ("2 1/2", "en", 2.5), ("2½", "en", 2.5), ("half", "en", 0.5), ("one and a half", "en", 1.5),
        ("twenty five", "en", 25), ("two hundred and fifty", "en", 250), ("three quarters", "en", 0.75),
        ("mbili na nusu", "sw", 2.5), ("ishirini na tano", "sw", 25), ("mia mbili hamsini", "sw", 250),
        ("kumi na mbili", "sw", 12), ("robo tatu", "sw", 0.75), ("2 na nusu", "sw", 2.5), ("elfu moja", "sw", 1000),
        ("٣٫٥", "en", 3.5), ("१२", "en", 12), ("１２", "en", 12),
    ],
)  # fmt: skip
def test_numbers_in_digits_and_words(reader: Reader, text: str, language: str, value: float) -> None:
    assert reader.read(text, language, "number").number == pytest.approx(value)


@pytest.mark.parametrize("text", ["1e999", "07700900123", "123456789012345678901234567890", "+447700900123"])
def test_no_amount_is_taken_from_a_prank_or_a_phone_number(reader: Reader, text: str) -> None:
    assert reader.read(text, "en", "number").number is None


def test_no_string_of_digits_commas_and_points_is_an_error() -> None:
    for length in range(1, 9):
        for chars in itertools.product("01,.", repeat=length):
            CUTTER.cut("".join(chars))
    assert [token.value for token in CUTTER.cut("1,234,567.5")] == [1234567.5]


@pytest.mark.parametrize(
    ("text", "days"),
    [("10 days ago", 10), ("2 weeks ago", 14), ("yesterday", 1), ("1e308 years ago", None), ("-5 days ago", None),
     ("900 years ago", None), ("10 days", None), ("yesterday or 3 days ago", None)],
)  # fmt: skip
def test_days_ago(reader: Reader, text: str, days: int | None) -> None:
    assert reader.read(text, "en").days_ago == days


@pytest.mark.parametrize("text", ["1e308 acres", "1e308F", "1e308 mm rain", "1e308 x 1e308 x 1e308 ft"])
def test_a_number_past_all_measure_is_none(reader: Reader, text: str) -> None:
    meaning = reader.read(text, "en")
    assert (meaning.area_m2, meaning.celsius, meaning.rain_mm, meaning.size_m) == (None,) * 4


# Lengths by definition: the foot is 0.3048 m, the inch 0.0254 m, the yard 0.9144 m, the acre 4840 square yards
# (International yard and pound agreement of 1959).
@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("6ft x 6ft x 5ft", (1.8288, 1.8288, 1.524)),
        ("6 x 6 x 5 ft", (1.8288, 1.8288, 1.524)),
        ("6'6\" x 6' x 5'", (1.9812, 1.8288, 1.524)),
        ("5 ft 6in x 5ft x 4 ft", (1.6764, 1.524, 1.2192)),
        ("2 yards by 2 yards by 1 yard", (1.8288, 1.8288, 0.9144)),
        ("200cm x 2m x 1.5", (2, 2, 1.5)),
        ("1.5m high, 3m long, 2m wide", (3, 2, 1.5)),
        ("2 m cube", (2, 2, 2)),
        ("2-2-2", (2, 2, 2)),
        ("2*2*2", (2, 2, 2)),
        ("2×2×2", (2, 2, 2)),
        ("two metres and a half by 2 m by a metre and a half", (2.5, 2, 1.5)),
        ("1m50 x 2m x 1m20", (1.5, 2, 1.2)),
        ("buckets of manure for 1m50 x 1m50 x 1m", (1.5, 1.5, 1)),
    ],
)
def test_sizes_in_every_way_of_writing(reader: Reader, text: str, size: tuple[float, float, float]) -> None:
    assert reader.read(text, "en", "size").size_m == pytest.approx(size)


def test_a_size_of_two_numbers_is_asked_again(reader: Reader) -> None:
    meaning = reader.read("2 by 2", "en", "size")
    assert meaning.size_m is None
    assert meaning.ask_again


def test_an_acre_is_4840_square_yards(reader: Reader) -> None:
    assert reader.read("1 acre", "en", "area").area_m2 == pytest.approx(4840 * 0.9144**2)
    assert reader.read("an acre", "en", "area").area_m2 == pytest.approx(4840 * 0.9144**2)


def test_fahrenheit_by_its_definition(reader: Reader) -> None:
    assert reader.read("140F", "en").celsius == 60  # (140 - 32) / 1.8
    assert reader.read("140 degrees", "en", "feel").celsius == 60
    assert "fahrenheit" in reader.read("140 degrees", "en", "feel").assumed
    assert reader.read("95 degrees", "en", "feel").ask_again


def test_guessed_sizes_and_middles_of_ranges_are_told(reader: Reader) -> None:
    assert reader.read("3 paces x 2 paces x 1m", "en", "size").assumed == ("pace",)
    meaning = reader.read("10-12 buckets of ash", "en", "materials")
    assert amounts(meaning) == [("ash", 11, "bucket")]
    assert meaning.assumed == ("range_middle",)


def test_manure_without_an_animal_is_told_as_assumed(reader: Reader) -> None:
    meaning = reader.read("i have manure", "en")
    assert amounts(meaning) == [("cattle_manure", None, None)]
    assert meaning.assumed == ("cattle_manure",)
    assert reader.read("manure", "en").materials is None
    assert reader.read("goat manure", "en", "materials").assumed == ()


@pytest.mark.parametrize(
    "text",
    [
        "3 buckets ash, 2 sacks weeds",
        "ash 3 buckets, weeds 2 sacks",
        "3 buckets of ash and 2 sacks of weeds",
        "ash 3 buckets weeds 2 sacks",
        "3 buckets ash 2 sacks weeds",
        "ash, 3 buckets; weeds, 2 sacks",
        "3bkts ash\n2sacks weeds",
        "three buckets ash + two sacks weeds",
    ],
)
def test_amounts_go_with_their_materials(reader: Reader, text: str) -> None:
    assert amounts(reader.read(text, "en", "materials")) == [("ash", 3, "bucket"), ("weeds", 2, "sack")]


@pytest.mark.parametrize(
    ("text", "sacks"),
    [
        ("two sacks and a half of ash", 2.5),
        ("a sack and a half of ash", 1.5),
        ("2 and a half sacks of ash", 2.5),
    ],
)
def test_a_half_said_after_the_measure(reader: Reader, text: str, sacks: float) -> None:
    assert amounts(reader.read(text, "en", "materials")) == [("ash", sacks, "sack")]
    split = reader.read("2 sacks weeds and half a sack of ash", "en", "materials")
    assert amounts(split) == [("weeds", 2, "sack"), ("ash", 0.5, "sack")]


def test_a_material_is_never_guessed_between_two(reader: Reader) -> None:
    meaning = reader.read("grass", "en", "materials")
    assert meaning.near == ("dry_grass", "green_grass")
    assert meaning.ask_again
    assert meaning.materials is None


def test_unknown_words_of_a_list_are_kept_for_the_question(reader: Reader) -> None:
    meaning = reader.read("ash, glimberry pods, weeds", "en", "materials")
    assert meaning.unknown == ("glimberry pods",)
    assert meaning.ask_again
    assert amounts(meaning) == [("ash", None, None), ("weeds", None, None)]


def test_forbidden_things_are_found_in_a_long_list(reader: Reader) -> None:
    text = ", ".join(["maize stalks", "weeds", "ash", "sawdust", "dry leaves"] * 5 + ["bones", "cow dung"])
    assert reader.read(text, "en", "materials").forbidden == ("bones",)
    assert reader.read("weeds without bones", "en", "materials").forbidden is None


@pytest.mark.parametrize("text", ["wheelbarow", "wheelbarrrow", "wheelbarrows", "wheel barrow", "whelbarrow"])
def test_misspelt_measures(reader: Reader, text: str) -> None:
    assert reader.read(text, "en", "measure").measure == "wheelbarrow"


@pytest.mark.parametrize(
    "text", ["bucket of 20 litres", "20 litre bucket", "20l bucket", "my bucket holds 20 litres"]
)
def test_an_own_measure_with_its_litres(reader: Reader, text: str) -> None:
    meaning = reader.read(text, "en", "measure")
    assert (meaning.measure, meaning.measure_litres) == ("bucket", 20)


def test_ordinary_words_are_not_repaired_into_others(reader: Reader) -> None:
    for text in ("I sold my goal", "the world is round", "train station", "they told me", "wore"):
        meaning = reader.read(text, "en")
        assert not meaning.understood, (text, meaning)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("JOIN KV7", "KV7"),
        ("join kv7", "KV7"),
        ("JOIN", None),
        ("join please", None),
        ("JOIN MAZIWA", "MAZIWA"),
    ],
)
def test_the_code_after_join(reader: Reader, text: str, code: str | None) -> None:
    meaning = reader.read(text, "en")
    assert meaning.topic == "join"
    assert meaning.code == code


def test_the_question_after_trainer_is_kept_as_written(reader: Reader) -> None:
    meaning = reader.read("TRAINER: Why is my pile GREY?  It's cold.", "en")
    assert meaning.topic == "trainer"
    assert meaning.rest == "Why is my pile GREY?  It's cold."
    assert meaning.feel is None
    assert reader.read("trainer", "en").topic_alone


def test_options_of_the_open_question_decide(reader: Reader) -> None:
    assert reader.read("done the layer", "en", "word", ("done", "back", "all")).word == "done"
    assert reader.read("all", "en", "word", ("done", "back", "all")).word == "all"
    assert reader.read("all is well with my family", "en").word is None


def test_stop_only_as_a_wish(reader: Reader) -> None:
    assert reader.read("stop", "sw").topic == "stop"
    assert reader.read("acha", "en").topic == "stop"
    for text in ("the pile stopped heating", "end of the pile", "how do i stop the smell", "stop watering?"):
        assert reader.read(text, "en").topic != "stop", text


@pytest.mark.parametrize(
    "text",
    ["the fire in my heap is finished", "we burned the weeds", "no smoke", "worms died", "rain fell on my pile",
     "the pile is burning hot", "can i use burnt leaves"],
)  # fmt: skip
def test_no_false_alarm(reader: Reader, text: str) -> None:
    assert reader.read(text, "en").topic != "danger"


def test_a_name_is_not_read_as_anything_else(reader: Reader) -> None:
    meaning = reader.read("Baridi Moto", "sw", "text")
    assert (meaning.understood, meaning.feel, meaning.topic) == (True, None, None)
    assert reader.read("STOP", "sw", "text").topic == "stop"


def test_the_last_of_two_reports_counts(reader: Reader) -> None:
    assert reader.read("it was hot but now it is cold", "en").feel == "cold"
    assert reader.read("hot cold", "en", "feel").feel is None
    assert reader.read("hot cold", "en", "feel").ask_again


def test_the_farmers_language_wins_and_the_other_still_helps(reader: Reader) -> None:
    assert reader.read("kijiti ni cold", "sw").feel == "cold"
    assert reader.read("stick ni baridi", "en").feel == "cold"


@pytest.mark.parametrize(
    ("text", "language", "number"),
    [
        ("5 thousand", "en", 5000), ("5k", "en", 5000), ("elfu 5", "sw", 5000), ("5 mil", "pt", 5000),
        ("dix-sept", "fr", 17), ("vingt-cinq", "fr", 25), ("twenty-five", "en", 25),
    ],
)  # fmt: skip
def test_numbers_with_scales_and_hyphens(reader: Reader, text: str, language: str, number: float) -> None:
    assert reader.read(text, language, "number").number == number


def test_a_growing_pair_with_a_hyphen_is_a_range(reader: Reader) -> None:
    meaning = reader.read("ten-twelve buckets of ash", "en", "materials")
    assert meaning.materials and meaning.materials[0].amount == 11 and "range_middle" in meaning.assumed


@pytest.mark.parametrize(
    ("text", "material"), [("dry", "dry_grass"), ("the green one", "green_grass"), ("hay", "dry_grass")]
)
def test_a_part_of_a_name_chooses_among_what_was_offered(reader: Reader, text: str, material: str) -> None:
    meaning = reader.read(text, "en", "materials", ("dry_grass", "green_grass"))
    assert [each.material for each in meaning.materials or ()] == [material] and not meaning.ask_again


def test_a_word_of_both_chooses_none(reader: Reader) -> None:
    assert reader.read("grass", "en", "materials", ("dry_grass", "green_grass")).ask_again


@pytest.mark.parametrize(
    ("text", "language"),
    [
        ("my mother is in hospital since monday, what is the weather for tomorrow", "en"),
        ("thanks, see you tomorrow", "en"),
        ("não tenho dinheiro para a matrícula", "pt"),
    ],
)
def test_talk_of_something_else_is_no_answer(reader: Reader, text: str, language: str) -> None:
    assert reader.read(text, language).answer is None


def test_nobody_asked_for_the_yes_or_no_beside_what_was_told(reader: Reader) -> None:
    assert reader.read("is it ready or not", "en").answer is None
    assert reader.read("yes cold", "en", "feel").answer is None
    assert reader.read("yes stick is cold", "en", "yesno").answer == "yes"


def test_one_letter_is_a_degree_behind_a_number_that_can_be_a_temperature(reader: Reader) -> None:
    assert reader.read("12C", "en").celsius == 12
    assert reader.read("la facture est arrivée, 7500f", "fr").celsius is None
    assert reader.read("c un cube de 1 metre partout", "fr", "size").celsius is None


def test_cold_and_dry_are_both_kept(reader: Reader) -> None:
    meaning = reader.read("dry, and the stick is cold", "en", "feel")
    assert (meaning.feel, meaning.squeeze) == ("cold", "dry")


def test_a_number_in_words_is_no_rain(reader: Reader) -> None:
    meaning = reader.read("yes heavy one, even the road is gone", "en", "rain")
    assert meaning.rain == "heavy" and meaning.rain_mm is None


def test_millimetres_are_rain_without_the_word(reader: Reader) -> None:
    meaning = reader.read("on a eu 15 mm ce matin", "fr")
    assert (meaning.rain, meaning.rain_mm) == ("some", 15)


def test_a_list_with_amounts_is_no_question_about_manure(reader: Reader) -> None:
    assert reader.read("g 3 brouettes de bouse, 2 poignées de cendre", "fr").topic is None
    assert reader.read("bouse", "fr").topic == "manure"


@pytest.mark.parametrize("text", ["عربة يد", "عربية يد"])
def test_a_hand_cart_as_it_is_written_and_as_it_is_said(reader: Reader, text: str) -> None:
    assert reader.read(text, "ar", "measure").measure == "wheelbarrow"
