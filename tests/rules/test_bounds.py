"""What an inspector may inspect: a bound in words, held against what a card calls its work."""

import pytest

from tests.support.cards import card_content
from tests.support.story import AXLE, WHEEL
from torquelog.errors import TorquelogError
from torquelog.facts.card_form import card_from
from torquelog.rules import bounds

GROUPS = ({**WHEEL, "name": "tie bolt nut"}, AXLE, {**WHEEL, "id": "brake-nut", "on": "brake"})
CARD = card_from(card_content("BUILD", "B", *GROUPS, kind="wheel"))
BOLTS, AXLE_NUT, BRAKE_NUTS = CARD.groups


@pytest.mark.parametrize(
    ("bound", "covered"),
    [
        ("wheels", (True, True, False)),
        ("wheels and brakes", (True, True, True)),
        ("main wheels, brakes", (True, True, True)),
        ("Brakes", (False, False, True)),
        ("tie bolts", (True, False, False)),
        ("axle-nut", (False, True, False)),
        ("aircraft", (False, True, False)),
        ("landing gear", (False, False, False)),
        ("tie rods; bolts", (False, False, False)),
        ("BUILD", (True, True, True)),
        ("everything", (True, True, True)),
        ("all", (True, True, True)),
        ("everything except brakes", (False, False, False)),
        ("not brakes", (False, False, False)),
        ("", (False, False, False)),
        (None, (True, True, True)),
    ],
)
def test_a_bound_covers_what_it_names(bound: str | None, covered: tuple[bool, ...]) -> None:
    """By the card's name or kind, by what carries or is held by the group, or by the group; one or several of them."""
    assert tuple(bounds.covers(bound, CARD, group) for group in (BOLTS, AXLE_NUT, BRAKE_NUTS)) == covered


def test_outside_it_is_told_with_the_bound_and_who_may() -> None:
    """Work that a bound does not name is refused with the bound in its words and with those whose bound covers it."""
    held = {"MS": "brakes", "RS": None, "BA": "wheels", "TK": None}
    with pytest.raises(TorquelogError) as caught:
        bounds.check("MS", CARD, BOLTS, held, frozenset({"TK"}))
    assert caught.value.code == "inspection-bounds"
    assert caught.value.message == (
        "MS may inspect: brakes. The tie bolts of card BUILD are not among that. Nothing was recorded."
    )
    assert caught.value.hint == "It could be BA or RS."
    bounds.check("MS", CARD, BRAKE_NUTS, held, frozenset({"TK"}))


def test_where_nobody_may_quality_can_widen_it() -> None:
    """The hint is what quality types."""
    with pytest.raises(TorquelogError) as caught:
        bounds.check("MS", CARD, BOLTS, {"MS": "brakes"}, frozenset())
    assert caught.value.hint == (
        'Quality can widen it: torquelog person role MS --add inspector --inspects "brakes, tie bolts"'
    )


@pytest.mark.parametrize(
    "text", ["all but brakes", "everything except engines", "wheels, not brakes", "no brakes"]
)
def test_a_bound_says_what_may_be_inspected(text: str) -> None:
    """Words that take something out again are refused when the role is given, since nothing could hold them."""
    with pytest.raises(TorquelogError) as caught:
        bounds.check_words(text)
    assert caught.value.code == "role-terms"


def test_a_bound_without_such_words_is_taken() -> None:
    """Plain names pass."""
    bounds.check_words("wheels and brakes")


@pytest.mark.parametrize("word", ["not", "no", "but", "except", "excluding", "without"])
def test_what_takes_something_out_names_nothing(word: str) -> None:
    """It could not be held; so it is refused when the role is given, with the word."""
    assert not bounds.covers(f"everything {word} brakes", CARD, BOLTS)
    assert not bounds.covers(f"wheels {word} brakes", CARD, BOLTS)
    with pytest.raises(TorquelogError, match=f'"{word}" takes something out'):
        bounds.check_words(f"wheels {word} brakes")
    bounds.check_words("wheels and brakes")


@pytest.mark.parametrize("word", ["all", "any", "everything", "anything"])
def test_everything_is_said_in_four_ways(word: str) -> None:
    """Alone, or beside something else."""
    assert bounds.covers(word, CARD, BRAKE_NUTS)
    assert bounds.covers(f"wheels, {word}", CARD, BRAKE_NUTS)
    assert not bounds.covers(f"{word} wheels", CARD, BRAKE_NUTS)


def test_one_and_several_of_a_thing_are_the_same() -> None:
    """A short word and one that ends in ss lose no letter."""
    named = card_from(card_content("BUILD", "B", {**WHEEL, "name": "bus cross"}))
    group = named.groups[0]
    assert bounds.covers("bus cross", named, group)
    assert not bounds.covers("bu cro", named, group)
    gear = card_from(card_content("BUILD", "B", {**WHEEL, "name": "gear"}))
    assert bounds.covers("gears", gear, gear.groups[0])
    assert not bounds.covers("gea", gear, gear.groups[0])
    ski = card_from(card_content("BUILD", "B", {**WHEEL, "name": "skis"}))
    assert bounds.covers("ski", ski, ski.groups[0])
    gas = card_from(card_content("BUILD", "B", {**WHEEL, "name": "gas"}))
    assert not bounds.covers("ga", gas, gas.groups[0])
    boss = card_from(card_content("BUILD", "B", {**WHEEL, "name": "boss"}))
    assert bounds.covers("boss", boss, boss.groups[0])
    assert not bounds.covers("bos", boss, boss.groups[0])


def test_work_that_stays_with_the_aircraft_is_that_of_the_cards_kind() -> None:
    """Only such work: a wheel's bolts are not a brake's because the card is one of brakes."""
    of_brakes = card_from(
        card_content(
            "BUILD",
            "B",
            {**WHEEL, "on": "wheel"},
            {name: value for name, value in AXLE.items() if name != "holds"},
            kind="brake",
        )
    )
    bolts, nut = of_brakes.groups
    assert bounds.covers("brakes", of_brakes, nut)
    assert not bounds.covers("brakes", of_brakes, bolts)
    assert bounds.covers("brakes", of_brakes, bolts._replace(on="")), (
        "the card does not say what carries them"
    )


def test_a_names_words_stand_one_behind_the_other() -> None:
    """At the beginning or the end of what a bound says; a name without words is none."""
    assert bounds.covers("main tie bolt", CARD, BOLTS)
    assert bounds.covers("tie bolt nuts inside", CARD, BOLTS)
    assert not bounds.covers("bolt tie", CARD, BOLTS)
    assert not bounds.covers("tie", CARD, BOLTS)
