"""A technician at the guided session, without a terminal: types lines into the machine, and the acts carry them out."""

from uuid import UUID

from tests.support.story import Story
from torquelog.work import doing
from torquelog.work.session import take
from torquelog.work.session_question import Question, question
from torquelog.work.session_state import Session


class Guided:
    """A session of one person at one job of a story; each line takes some seconds."""

    def __init__(self, story: Story, job: str = "J-1", person: str = "TK", *, seconds: int = 5) -> None:
        self.story, self.person, self.seconds = story, person, seconds
        self.session: Session = doing.begin(story.book, job, person)
        self.lines = 0
        self.readings = 0

    def type(self, line: str, *, seconds: int | None = None) -> Session:
        """Type a line; gives the session after it."""
        self.story.later(seconds=self.seconds if seconds is None else seconds)
        self.lines += 1
        turn = take(self.session, line, self.story.clock.now())
        self.session = turn.session
        before = len(self.session.history)
        for effect in turn.effects:
            name = UUID(int=self.story.entries()).hex
            self.session = doing.carry_out(
                self.story.book, self.story.signed[self.person], self.session, effect, name
            )
        self.readings += max(0, len(self.session.history) - before)
        return self.session

    def types(self, *lines: str) -> Session:
        """Type several lines."""
        for line in lines:
            self.type(line)
        return self.session

    @property
    def asked(self) -> Question:
        """What is asked now."""
        return question(self.session)

    @property
    def at(self) -> str:
        """What is asked and of whom: "reading tie-bolt:7 pass 1"."""
        asked = self.asked
        if asked.target is None:
            return asked.kind
        place = f"{asked.target.group}:{asked.target.item}"
        return f"{asked.kind} {place} {asked.target.slot.name if asked.target.slot else asked.target.name}".strip()

    @property
    def said(self) -> str:
        """What is said about the last line."""
        return " ".join(self.session.said)
