"""Facts about what reads strangers' files: whatever comes in, it is taken or refused in our own words."""

from collections.abc import Callable
from importlib.util import find_spec

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.strangers.fuzz import fuzzed
from tests.strangers.readers import BY_NAME, READERS, Reader
from tests.support.measure import measured
from torquelog.errors import TorquelogError

Record = Callable[[str, object], None]
NAMES = [reader.name for reader in READERS]
EXAMPLES = 40
SLOW = {"zone": 5_000, "quantity": 60_000, "certificate": 60_000, "card": 60_000}
"""Inputs of the readers of which each takes longer, at full length."""

OTHERS = 1_000_000 - sum(SLOW.values())
FUZZED = NAMES if find_spec("atheris") else []
"""Where the fuzzer is not made for a machine, nothing is fuzzed there; `.ci/run` has it."""

QUICK = [name for name in NAMES if name not in SLOW]


def inputs_of(name: str) -> int:
    """How many inputs a reader gets at full length; a million over all of them."""
    return SLOW.get(name, -(-OTHERS // len(QUICK)))


@st.composite
def hostile(draw: st.DrawFn, reader: Reader) -> bytes:
    """A good example with pieces taken out, doubled, or exchanged for words that mean something, or for anything."""
    data = draw(st.sampled_from(list(reader.seeds)))
    for _ in range(draw(st.integers(0, 6))):
        begin = draw(st.integers(0, len(data)))
        end = draw(st.integers(begin, min(len(data), begin + 80)))
        piece = draw(
            st.one_of(
                st.sampled_from(reader.words).map(lambda word: word.encode("utf-8", "surrogateescape")),
                st.binary(max_size=8),
                st.text(max_size=8).map(lambda text: text.encode("utf-8", "replace")),
                st.just(data[begin:end] * 2),
                st.just(b""),
            )
        )
        data = data[:begin] + piece + data[end:]
    return data


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_a_reader_takes_or_refuses_in_our_own_words(name: str, data: st.DataObject) -> None:
    """No exception of another kind, no words without end, nothing kept that cannot be seen."""
    reader = BY_NAME[name]
    reader.read(data.draw(st.one_of(hostile(reader), st.binary(max_size=200))))


@pytest.mark.parametrize("name", NAMES)
def test_good_examples_are_taken_or_refused(name: str) -> None:
    """What mutations begin with is something that the reader knows: at least one example gets through."""
    reader = BY_NAME[name]
    assert reader.seeds
    for seed in reader.seeds:
        reader.read(seed)


@pytest.mark.long
@pytest.mark.parametrize("name", FUZZED)
def test_a_million_inputs_bring_no_traceback_no_hang_and_no_growth(
    name: str, record_property: Record
) -> None:
    """Coverage-guided: a share of a million for each reader; ten seconds and 400 MB are the most one may take."""
    asked = measured(inputs_of(name))
    done = fuzzed(name, asked)
    record_property("count", str(done))
    assert done.inputs >= asked


@pytest.mark.long
@pytest.mark.parametrize("name", ["planted"] if FUZZED else [])
def test_the_fuzzer_finds_a_reader_that_stumbles(name: str) -> None:
    """A planted defect behind everything that a specification has to be is found, with the input that shows it."""
    with pytest.raises(AssertionError, match=r"(?s)planted, seed 5: .*xb1.*AssertionError"):
        fuzzed(name, 200_000)


@pytest.mark.parametrize(
    ("broken", "told"),
    [
        (lambda data: len(data) > 3 and {}[data], "KeyError"),
        (lambda data: _refuse("x" * 10_000), "characters of error"),
    ],
)
def test_a_reader_that_stumbles_is_found(broken: Callable[[bytes], None], told: str) -> None:
    """What is asked of readers is asked in earnest."""
    from tests.strangers.readers import soundly

    with pytest.raises((KeyError, AssertionError)) as caught:
        soundly(broken)(b"four")
    assert told in f"{caught.type.__name__}: {caught.value}"


def _refuse(words: str) -> None:
    raise TorquelogError("argument", words)
