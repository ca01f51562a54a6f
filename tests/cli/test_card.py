"""The commands of cards: written, checked, loaded, approved and shown."""

import json
from pathlib import Path

import pytest

from tests.cli.hangar import PASSPHRASE, Hangar

APPROVE = "--why 'nobody else is here' --passphrase-stdin"
QUESTIONS = (
    "Card name [MY-WHEEL]:",
    "What is done, in a few words: Main wheel, build-up",
    "Document: CMM 32-40-EX",
    "Revision: B",
    "Its date: 2 nov 2026",
    "Fastener group, such as tie-bolt: tie-bolt",
    "What carries it? (wheel, brake, ... or aircraft): wheel",
    "How many: 12",
    "Torque at the fastener, such as 68..76 Nm: 68..76 Nm",
    "Thread, such as 1/2-20 (Enter if it is not said): 1/2-20",
    "Is run-on torque added to it? y/n: n",
    "Order, (s)tar, (c)ircular or (l)ine: s",
    "Passes in percent [100]: 50,100",
    "Inspection by a second person? y/n: n",
    "Another group? y/n: n",
)


@pytest.fixture
def hangar() -> Hangar:
    return Hangar()


def test_a_first_card_by_questions(hangar: Hangar) -> None:
    """Answers that stand for more are shown back; the file is written and loaded, and approved with a reason."""
    status, screen = hangar.talked("card new my-wheel.toml", *QUESTIONS)
    assert status == 0, screen
    assert "  Mon 2 Nov 2026, 23 days ago\n" in screen
    assert "  68 to 76 N·m (50.2 to 56.1 lbf·ft)\n" in screen
    assert "  1-7-4-10-2-8-5-11-3-9-6-12\n" in screen
    assert "Written to my-wheel.toml and loaded as a draft." in screen
    assert "Next: torquelog card approve MY-WHEEL" in screen
    status, screen = hangar.talked(
        "card approve my-wheel",
        "Approve it yourself? Every answer and sheet will say so. Reason: first trial",
    )
    assert status == 0, screen
    assert "You drafted this card, and nobody else here may approve one yet." in screen
    assert "MY-WHEEL revision B is approved, by its own drafter." in screen
    assert hangar.data("card show MY-WHEEL")["content"]["groups"][0]["torque"] == "68..76 N·m"


def test_a_step_back_keeps_what_was_answered(hangar: Hangar) -> None:
    """A torque that was copied wrong is seen two questions later; what stood before is offered for Enter, y/n never."""
    wrong = [line.replace("68..76 Nm: 68..76", "68..76 Nm: 86..96") for line in QUESTIONS[:11]]
    back = (
        "Order, (s)tar, (c)ircular or (l)ine: b",
        "Is run-on torque added to it? y/n: b",
        "Thread, such as 1/2-20 (Enter if it is not said): back",
        "Torque at the fastener, such as 68..76 Nm [86..96 Nm]: b",
        "How many [12]: ",
        "Torque at the fastener, such as 68..76 Nm [86..96 Nm]: 68..76 Nm",
    )
    status, screen = hangar.talked("card new my-wheel.toml", *wrong, *back, *QUESTIONS[9:])
    assert status == 0, screen
    assert screen.count("Mon 2 Nov 2026, 23 days ago") == 1
    assert screen.count("68 to 76 N·m (50.2 to 56.1 lbf·ft)") == 1
    assert "86" not in Path("my-wheel.toml").read_text()
    group = hangar.data("card show MY-WHEEL --revision B")["content"]["groups"][0]
    assert (group["torque"], group["count"], group["thread"]) == ("68..76 N·m", "12", "1/2-20")


def test_a_letter_that_is_an_answer_goes_nowhere(hangar: Hangar) -> None:
    """Revision B, or b, is a revision; the word goes back from there, and before the first question there is none."""
    said = [*QUESTIONS[:3], "Revision: back", "Document [CMM 32-40-EX]: ", "Revision: b", *QUESTIONS[4:]]
    said[:1] = ["Card name [MY-WHEEL]: back", QUESTIONS[0]]
    status, screen = hangar.talked("card new my-wheel.toml", *said)
    assert status == 0, screen
    assert 'To go back one question, type back, or b where "b" could be no answer.' in screen
    assert "This is the first question.\n" in screen
    assert 'revision = "b"' in Path("my-wheel.toml").read_text()


def test_a_step_back_out_of_a_second_group(hangar: Hangar) -> None:
    """What is taken back leaves nothing in the file."""
    said = [*QUESTIONS[:14], "Another group? y/n: y", "Fastener group, such as tie-bolt: axle-nut"]
    said += [
        "What carries it? (wheel, brake, ... or aircraft): back",
        "Fastener group, such as tie-bolt [axle-nut]: back",
        "Another group? y/n: n",
    ]
    status, screen = hangar.talked("card new my-wheel.toml", *said)
    assert status == 0, screen
    assert "axle-nut" not in Path("my-wheel.toml").read_text()


def test_a_word_is_no_thread(hangar: Hangar) -> None:
    """It is asked again, with what was probably meant or the forms that are known."""
    said = list(QUESTIONS)
    said[9:10] = [
        "Thread, such as 1/2-20 (Enter if it is not said): fine",
        "Thread, such as 1/2-20 (Enter if it is not said): 1/2x20",
        "Thread, such as 1/2-20 (Enter if it is not said): 1/2-20",
    ]
    status, screen = hangar.talked("card new my-wheel.toml", *said)
    assert status == 0, screen
    assert '"fine" is no thread as it is written here.' in screen
    assert "Type it like 1/2-20, 10-32, 1-1/8-12 or M10x1.5" in screen
    assert "Did you mean 1/2-20?" in screen
    assert 'thread = "1/2-20"' in Path("my-wheel.toml").read_text(encoding="utf-8")


def test_a_doubtful_torque_is_asked_about(hangar: Hangar) -> None:
    """Twelve times off its thread: the question is put, and the torque typed again."""
    said = list(QUESTIONS)
    said[8] = "Torque at the fastener, such as 68..76 Nm: 560 ft-lb ± 5 %"
    again = [
        "Does the document say it like that? y/n: n",
        "Torque at the fastener, such as 68..76 Nm: 560 in-lb ± 5 %",
    ]
    status, screen = hangar.talked("card new my-wheel.toml", *said[:10], *again, *said[10:])
    assert status == 0, screen
    assert "In-lb or ft-lb?" in screen
    assert 'torque = "560 lbf·in ± 5 %"' in Path("my-wheel.toml").read_text(encoding="utf-8")


def test_without_a_terminal_a_card_is_written_to_be_filled_in(hangar: Hangar) -> None:
    """Nothing is asked and nothing loaded; a file that is there stays unless it may give way."""
    data = hangar.data("card new my-wheel.toml")
    assert data == {"file": "my-wheel.toml", "card": "MY-WHEEL", "loaded": False}
    assert hangar.refused("card new my-wheel.toml") == (2, ["exists"])
    hangar.did("card new my-wheel.toml --replace")
    assert hangar.refused("card check my-wheel.toml")[0] == 2
    assert hangar.data("card list") == {"cards": []}


def test_a_card_that_cannot_be_loaded_yet_is_still_written(hangar: Hangar) -> None:
    """Nobody is signed in: the file is there, the reason is told, and how to go on."""
    hangar.did("sign-out")
    status, screen = hangar.talked("card new my-wheel.toml", *QUESTIONS)
    assert status == 0
    assert "Written to my-wheel.toml, not loaded." in screen
    assert "Next: torquelog card load my-wheel.toml" in screen
    assert Path("my-wheel.toml").exists()


def test_every_problem_of_a_file_is_told(hangar: Hangar) -> None:
    """By file, table and key, exit 2, nothing on record; from standard input as well."""
    text = Path("sample_data/main-wheel-build.toml").read_text(encoding="utf-8")
    text = text.replace("68..76", "76..68").replace("count = 12", "count = 0")
    played = hangar.type("card load - --json", text)
    problems = json.loads(played.out)["problems"]
    assert played.exit == 2
    assert [problem["code"] for problem in problems] == ["card-value", "limits-reversed"]
    assert all(problem["message"].startswith("-, [[group]] tie-bolt, ") for problem in problems)
    assert hangar.data("card list") == {"cards": []}


@pytest.mark.parametrize("name", ["main-wheel-build", "main-brake-fit", "main-wheel-fit"])
def test_the_sample_cards_are_checked_loaded_and_approved(hangar: Hangar, name: str) -> None:
    """They raise no question, hold no inspection, and say that they are invented."""
    path = f"sample_data/{name}.toml"
    checked = hangar.data(f"card check {path}")
    assert checked["questions"] == []
    loaded = hangar.data(f"card load {path}")
    assert (loaded["state"], loaded["repeated"]) == ("draft", False)
    assert hangar.data(f"card load {path}")["repeated"]
    approved = hangar.data(f"card approve {loaded['card']} {APPROVE}", PASSPHRASE)
    assert (approved["own_approval"], approved["approved_by"]) == (True, "TK")
    text = Path(path).read_text(encoding="utf-8")
    assert "inspection" not in text
    assert "invented: use none of it" in text


def test_a_card_is_shown_as_it_is_to_be_compared(hangar: Hangar) -> None:
    """Each value in its own unit and the other one, steps in a row, the state and the own approval."""
    hangar.did("card load sample_data/main-wheel-fit.toml")
    draft = hangar.did("card show MW-FIT")
    assert "draft by TK, opens no job until somebody approves it" in draft
    assert "Next: torquelog card approve MW-FIT" in draft
    hangar.did(f"card approve MW-FIT {APPROVE}", PASSPHRASE)
    said = hangar.did("card show mw-fit")
    assert said.startswith("MW-FIT revision C: Main wheel, fitting.\n")
    assert (
        "approved by TK, its own drafter, as nobody else could: nobody else is here, Wed 25 Nov 2026" in said
    )
    assert "190 to 210 N·m (140 to 155 lbf·ft), the wheel turning" in said
    assert "60 lbf·in ± 10 %, 54 to 66 lbf·in (6.1 to 7.46 N·m), the total" in said
    data = hangar.data("card show MW-FIT")
    assert (data["state"], data["own_approval"], data["readings"]) == ("approved", True, 4)


def test_cards_are_listed_by_what_they_open(hangar: Hangar) -> None:
    """Draft, approved or superseded, in words and as CSV."""
    text = Path("sample_data/main-wheel-build.toml").read_text(encoding="utf-8")
    Path("c.toml").write_text(text.replace('revision = "B"', 'revision = "C"'), encoding="utf-8")
    for file in ("sample_data/main-wheel-build.toml", "c.toml"):
        hangar.did(f"card load {file}")
        hangar.did(f"card approve MW-BUILD {APPROVE}", PASSPHRASE)
    hangar.did("card load sample_data/main-brake-fit.toml")
    found = [(each["card"], each["revision"], each["state"]) for each in hangar.data("card list")["cards"]]
    assert found == [("MB-FIT", "A", "draft"), ("MW-BUILD", "B", "superseded"), ("MW-BUILD", "C", "approved")]
    assert hangar.did("card list").startswith("2 cards on record at QHR, 3 revisions.\n")
    assert len(hangar.did("card list --csv").splitlines()) == 4


def test_a_changed_draft_takes_the_place_of_the_first(hangar: Hangar) -> None:
    """Only if that is said; never once it is approved."""
    hangar.did("card load sample_data/main-wheel-build.toml")
    text = Path("sample_data/main-wheel-build.toml").read_text(encoding="utf-8")
    Path("b.toml").write_text(text.replace("68..76", "66..74"), encoding="utf-8")
    assert hangar.refused("card load b.toml") == (2, ["exists"])
    assert hangar.data("card load b.toml --replace")["replaced"] == "QHR-000003"
    hangar.did(f"card approve MW-BUILD {APPROVE}", PASSPHRASE)
    assert hangar.refused("card load sample_data/main-wheel-build.toml --replace") == (2, ["exists"])


@pytest.mark.parametrize(
    ("line", "exit_status", "code"),
    [
        ("card approve MW-BUILD --passphrase-stdin", 2, "why-missing"),
        (f"card approve NONE {APPROVE}", 2, "card-unknown"),
        (f"card approve MW-BUILD --revision D {APPROVE}", 2, "card-unknown"),
        ("card show MW-BUIL", 2, "card-unknown"),
        ("card check none.toml", 2, "file-missing"),
        ("card check /", 2, "file-unreadable"),
        ("card load", 2, "argument"),
    ],
)
def test_what_is_wrong_has_its_code(hangar: Hangar, line: str, exit_status: int, code: str) -> None:
    """Exit status and code of the table; the card is still a draft."""
    hangar.did("card load sample_data/main-wheel-build.toml")
    assert hangar.refused(line, PASSPHRASE) == (exit_status, [code])
    assert hangar.data("card show MW-BUILD")["state"] == "draft"


def test_a_wrong_passphrase_approves_nothing(hangar: Hangar) -> None:
    """Exit 3, and the card stays a draft."""
    hangar.did("card load sample_data/main-wheel-build.toml")
    status, codes = hangar.refused(f"card approve MW-BUILD {APPROVE}", "eight pears on the wing\n")
    assert (status, codes) == (3, ["passphrase-wrong"])
    assert hangar.data("card show MW-BUILD")["state"] == "draft"
