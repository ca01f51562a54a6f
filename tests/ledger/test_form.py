"""An entry's canonical text, its digest, and strict reading."""

import json

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.ledger.golden import make
from torquelog.errors import TorquelogError
from torquelog.ledger import form
from torquelog.ledger.form import (
    BODY_BYTES,
    LINE_BYTES,
    Entry,
    body_text,
    canonical,
    digest,
    entry_text,
    entry_text_around,
    parse_entry,
    parse_reference,
    reference,
    strict_json,
)
from torquelog.ledger.jsontext import Fixed

GOLDEN = json.loads(make.GOLDEN.read_text(encoding="utf-8"))["entries"]
FEW = settings(max_examples=100, deadline=None)
CHARACTERS = st.characters(exclude_categories=("Cs",))
VALUES = st.recursive(
    st.text(CHARACTERS, max_size=12) | st.integers(-(2**53) + 1, 2**53 - 1),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(CHARACTERS, max_size=6), inner, max_size=4)
    ),
    max_leaves=20,
)


def code_of(act, *arguments):
    with pytest.raises(TorquelogError) as caught:
        act(*arguments)
    return caught.value.code


def entry(**changes):
    return parse_entry(GOLDEN[4]["text"])._replace(**changes)


@FEW
@given(VALUES)
def test_canonical_text_is_that_of_a_reference_library(value):
    """Every text, whole number, list and object comes out byte for byte as an RFC 8785 library writes it."""
    assert canonical(value).encode() == rfc8785.dumps(value)


def test_rfc_8785_strings():
    """RFC 8785 3.2.2, its sample of a string with controls, quotes and signs; from memory of the text."""
    string = "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/"
    assert canonical({"string": string}) == '{"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'


def test_rfc_8785_order_of_names():
    """RFC 8785 3.2.3, its sample for sorting by UTF-16 units; from memory of the text."""
    names = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    values = list(json.loads(canonical(names)).values())
    assert values == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


def test_rfc_8785_whole_numbers():
    """RFC 8785 appendix B, the whole numbers of it that every reader keeps; one more is refused."""
    assert canonical([0, 9007199254740991, -9007199254740991]) == "[0,9007199254740991,-9007199254740991]"
    assert code_of(canonical, 9007199254740992) == "entry-form"


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        False,
        0.5,
        float("nan"),
        b"x",
        ("a",),
        {1: "a"},
        {"a": None},
        ["\ud800"],
        {"\udfff": "a"},
        {"é\udfff": "a"},
    ],
)
def test_values_that_have_no_place_in_a_record(value):
    """No null, truth values, floats, bytes, tuples, half characters, and no names but texts."""
    assert code_of(canonical, value) == "entry-form"


def test_depth_is_bounded():
    """Twenty levels are written, the twenty-first is refused."""
    value = "x"
    for _ in range(20):
        value = [value]
    assert canonical(value) == "[" * 20 + '"x"' + "]" * 20
    assert code_of(canonical, [value]) == "entry-form"


@pytest.mark.parametrize("at", range(5))
def test_golden_entries_are_read_and_written(at):
    """The published texts and digests come out the same."""
    golden = GOLDEN[at]
    read = parse_entry(golden["text"])
    assert (read.number, read.station) == (at + 1, "QHR")
    assert entry_text(read) == golden["text"]
    assert digest(golden["text"]) == golden["digest"]


@FEW
@given(
    st.dictionaries(
        st.from_regex("[a-z_]{1,8}", fullmatch=True).filter(lambda name: name != "kdf"),
        st.recursive(
            st.text(CHARACTERS, max_size=12),
            lambda inner: (
                st.lists(inner, max_size=3) | st.dictionaries(st.text(CHARACTERS), inner, max_size=3)
            ),
        ),
        max_size=5,
    )
)
def test_entries_round_trip(body):
    """Any body is written, read back the same, and is what the reference library writes."""
    made = entry(body=body)
    text = entry_text(made)
    assert parse_entry(text) == made
    assert text.encode() == rfc8785.dumps(made._asdict())


@pytest.mark.parametrize(
    "changes",
    [
        {"id": "0" * 31},
        {"id": "A" * 32},
        {"id": "x" * 32},
        {"id": 7},
        {"key": 0},
        {"key": True},
        {"key": "4"},
        {"kind": "Tool"},
        {"kind": ""},
        {"number": 0},
        {"number": -1},
        {"number": 10**12},
        {"number": 5.0},
        {"previous": "0" * 63},
        {"previous": None},
        {"recorded_at": "2026-11-02T08:40:12Z"},
        {"recorded_at": 7},
        {"recorded_at": []},
        {"signer": "c-duarte"},
        {"signer": "C DUARTE"},
        {"signer": None},
        {"station": "qhr"},
        {"station": "Q"},
        {"version": 0},
        {"version": "1"},
        {"version": True},
        {"body": []},
        {"body": "x"},
        {"body": {"cycles": 5000}},
        {"body": {"a": {"kdf": 1}}},
        {"body": {"more": {"kdf": {"n": 1}}}},
        {"body": {"a": None}},
        {"body": {"a": "x" * BODY_BYTES}},
        {"body": {"a": "é" * (BODY_BYTES // 2)}},
        {"body": {"a": "\ud800"}},
    ],
)
def test_entries_with_members_of_another_form_are_not_written(changes):
    """Every member has one form; whole numbers stand in a key's kdf alone; bodies are bounded."""
    assert code_of(entry_text, entry(**changes)) == "entry-form"


@pytest.mark.parametrize("member", [name for name in Entry._fields if name != "body"])
def test_the_member_of_another_form_is_named(member):
    """Whoever looks for what is wrong learns in which member it stands."""
    with pytest.raises(TorquelogError) as caught:
        entry_text(entry(**{member: "?"}))
    assert caught.value.why == f"Looked at closely, its {member} has another form."


def test_bodies_are_as_deep_as_any_value():
    """A body is the first of twenty levels, whether its text is made now or was fixed before."""
    inner = "x"
    for _ in range(18):
        inner = [inner]
    made = entry(body={"a": [inner]})
    assert parse_entry(entry_text(made)) == made
    assert entry_text(entry(body={"a": Fixed({"b": inner})})) == entry_text(entry(body={"a": {"b": inner}}))
    assert code_of(entry_text, entry(body={"a": [[inner]]})) == "entry-form"
    assert code_of(Fixed, {"b": [inner]}) == "entry-form"


def test_a_body_that_is_too_large_is_told_the_bound():
    """The bound is told in the unit that it is thought of in."""
    with pytest.raises(TorquelogError) as caught:
        entry_text(entry(body={"a": "x" * BODY_BYTES}))
    assert caught.value.why == "Looked at closely, its body is larger than 256 KiB."


def test_a_text_too_long_for_an_entry_is_not_looked_at():
    """A body and a line together are the longest; whatever is longer is told as that, before it is read."""
    for more, why in ((0, "it is not JSON"), (1, "it is larger than an entry can be")):
        with pytest.raises(TorquelogError) as caught:
            parse_entry("x" * (BODY_BYTES + LINE_BYTES + more))
        assert caught.value.why == f"Looked at closely, {why}."


def test_a_body_may_be_as_large_as_it_says():
    """Exactly 256 KiB of body are written and read."""
    made = entry(body={"a": "x" * (BODY_BYTES - len('{"a":""}'))})
    assert parse_entry(entry_text(made)) == made


def test_numbers_of_entries_are_bounded():
    """Twelve digits, as many as a reference has."""
    made = entry(number=10**12 - 1, key=10**12 - 1)
    assert parse_entry(entry_text(made)) == made


def test_whole_numbers_stand_in_a_kdf():
    """A key's parameters are numbers, as golden entry 1 has them."""
    assert parse_entry(GOLDEN[0]["text"]).body["kdf"]["n"] == 65536


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text + " ",
        lambda text: text.replace(":", ": ", 1),
        lambda text: text.replace('"id"', '"\\u0069d"'),
        lambda text: text.replace("·", "\\u00b7"),
        lambda text: text[:-1] + ',"version":1}',
        lambda text: text.replace('"version":1', '"version":1.0'),
        lambda text: text.replace('"version":1', '"version":"1"'),
        lambda text: text.replace('"key":4', '"key":4e0'),
        lambda text: text.replace('"key":4,', ""),
        lambda text: text.replace('"version":1', '"version":1,"zz":"x"'),
        lambda text: text.replace('"number":5', '"number":05'),
        lambda text: text.replace('"5000"', "NaN"),
        lambda text: text.replace('"5000"', "null"),
        lambda text: text.replace('"5000"', "1" * 5000),
        lambda text: text.replace('"5000"', "[" * 100_000),
        lambda text: text.replace('"5000"', "[" * 50 + "]" * 50),
        lambda text: text.replace("5000", "\\ud800"),
        lambda text: "\ufeff" + text,
        lambda text: "[" + text + "]",
        lambda text: "",
        lambda text: "7",
        lambda text: "x" * 10_000_000,
    ],
)
def test_only_the_canonical_text_is_read(change):
    """Blanks, escapes, another order, twins, floats, more or fewer members: none is an entry."""
    assert change(GOLDEN[4]["text"]) != GOLDEN[4]["text"]
    assert code_of(parse_entry, change(GOLDEN[4]["text"])) == "entry-form"


def test_members_in_another_order_are_not_read():
    """The same members, written in another order, are another text."""
    members = json.loads(GOLDEN[4]["text"])
    text = json.dumps(dict(reversed(members.items())), ensure_ascii=False, separators=(",", ":"))
    assert code_of(parse_entry, text) == "entry-form"


def test_a_newer_version_is_said_to_be_newer():
    """An entry of version 2 is not called wrong."""
    text = GOLDEN[4]["text"].replace('"version":1', '"version":2')
    assert code_of(parse_entry, text) == "newer-entry"


def test_a_digest_covers_a_zero_byte_and_the_text():
    """SHA-256 of one zero byte, a known figure, stands for the empty text."""
    assert digest("") == "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"


def test_entry_fields_are_in_canonical_order():
    """The members stand in the class as they stand in the text."""
    assert list(Entry._fields) == sorted(Entry._fields)


def test_references_name_entries():
    """Written with six digits at least, read with any."""
    assert reference("QHR", 123) == "QHR-000123"
    assert reference("QHR", 1_234_567) == "QHR-1234567"
    assert parse_reference("QHR-000123") == ("QHR", 123)
    assert parse_reference(" qhr-7 ") == ("QHR", 7)
    for text in (
        "",
        "QHR",
        "QHR-",
        "QHR-0",
        "QHR-12x",
        "Q-1",
        "QHR-1234567890123",
        "QHR-٣",
        "QHR--1",
        "123",
        "ﬀ-1",
    ):
        assert code_of(parse_reference, text) == "reference-form"


def test_what_names_no_entry_is_shown_in_part():
    """The first 64 characters of what was typed, and how a name is written."""
    with pytest.raises(TorquelogError) as caught:
        parse_reference("a" * 65)
    assert (caught.value.what, caught.value.hint) == (
        f'"{"a" * 64}" does not name an entry.',
        'Write it like "QHR-000123".',
    )


@FEW
@given(st.from_regex("[A-Z][A-Z0-9]{1,7}", fullmatch=True), st.integers(1, 10**12 - 1))
def test_references_round_trip(station, number):
    """A name of an entry is read as that entry."""
    assert parse_reference(reference(station, number)) == (station, number)


def test_strict_json_reads_plain_json():
    """Objects, lists, texts, whole numbers, truth values and null."""
    value = {"a": ["é", 1, True, None, {"b": "\U0001f600"}]}
    assert strict_json(json.dumps(value)) == value
    assert strict_json(json.dumps(value, ensure_ascii=False)) == value


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "{'a': 1}",
        '{"a": 1,}',
        "x",
        '{"a": 1, "a": 2}',
        '{"b": {"a": 1, "a": 1}}',
        "NaN",
        "[-Infinity]",
        "0.5",
        "1e5",
        "1" * 17,
        "9007199254740992",
        "1" * 5000,
        "[" * 21 + "]" * 21,
        "[" * 30_000,
        '{"a":' * 21 + "1" + "}" * 21,
        '"\\ud800"',
        '{"\\udfff": 1}',
        '"\ud800"',
        '"a\tb"',
        "\ufeff{}",
        "{} {}",
    ],
)
def test_strict_json_refuses_what_could_be_read_in_two_ways(text):
    """Twins, NaN, floats, other numbers, depth, half characters, and what is no JSON."""
    assert code_of(strict_json, text) == "json-form"


def test_a_twin_is_named():
    """The message says which name came twice."""
    with pytest.raises(TorquelogError, match='The name "wrench" is given twice'):
        strict_json('{"job": "x", "wrench": "y", "wrench": "z"}')


def test_strict_json_is_bounded():
    """64 KiB of UTF-8 are read, one byte more is refused, and a caller may set another bound."""
    assert len(strict_json('"' + "x" * (64 * 1024 - 2) + '"')) == 64 * 1024 - 2
    assert code_of(strict_json, '"' + "x" * (64 * 1024 - 1) + '"') == "json-long"
    assert code_of(strict_json, '"' + "é" * (32 * 1024) + '"') == "json-long"
    assert strict_json("[7]", longest=3) == [7]
    with pytest.raises(TorquelogError, match="more than 2 bytes"):
        strict_json("[7]", longest=2)


@FEW
@given(VALUES)
def test_strict_json_reads_canonical_text(value):
    """What is written canonically is read back, where its numbers have at most 16 digits."""
    assert strict_json(canonical(value)) == value


def test_names_that_somebody_made_up_are_not_kept():
    """The order of a body's names is kept for the next one like it, but not where they are long together."""
    form._kept_layout.cache_clear()
    entry()
    assert form._kept_layout.cache_info()[2:] == (256, 1)
    for length in (986, 987):
        text = entry_text(entry(body={"b": "1", "ab" + "x" * length: "2", f"made-up-{length}": "3"}))
        assert text.startswith('{"body":{"ab')
    assert form._kept_layout.cache_info().currsize == 2
    with pytest.raises(TorquelogError):
        entry_text(entry(body={1: "a"}))


def test_a_text_that_is_at_hand_stands_in_the_entry_as_it_is():
    """It gives the text that the body gives; the entry's own body is not looked at, its other members are."""
    whole = entry(body={"b": "1", "a": "ä"})
    body = body_text({"b": "1", "a": "ä"})
    assert body == '{"a":"ä","b":"1"}'
    assert entry_text_around(body, whole._replace(body={})) == entry_text(whole)
    with pytest.raises(TorquelogError) as caught:
        entry_text_around(body, whole._replace(number=0))
    assert caught.value.code == "entry-form"
