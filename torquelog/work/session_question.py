"""What the session asks next. It follows from how things stand; nothing else remembers it."""

from typing import NamedTuple

from torquelog.facts.card_form import Group
from torquelog.rules import demand
from torquelog.work.bench import Aim
from torquelog.work.plan import Target
from torquelog.work.session_state import (
    Session,
    aim_of,
    group_of,
    next_target,
    run_on_of,
    setting_holds,
    waits_for_others,
)


class Question(NamedTuple):
    """What is asked.

    Attributes:
        kind: `condition`, `lots`, `wrench`, `gauge`, `run-on`, `setting`, `reading`, `step`, `hurt`, `locking`,
            `hold`, `check`, `waiting`, `end`, or the kind of a dialogue that was begun.
        target: what it is about, or nothing at the end.
        aim: what the fastener asks of the wrench in hand, where that is known.
    """

    kind: str
    target: Target | None
    aim: Aim | None = None


_newest: list[tuple[Session, Question]] = []
# Asked several times for each line that is typed; a session is frozen, so the newest answer holds for that very one.


def question(session: Session) -> Question:
    """What is asked now."""
    if not _newest or _newest[0][0] is not session:
        _newest[:] = [(session, _worked_out(session))]
    return _newest[0][1]


def _worked_out(session: Session) -> Question:
    target = next_target(session)
    if session.dialogue is not None:
        return Question(session.dialogue.kind, target, target and aim_of(session, target))
    if target is None:
        return Question("waiting" if waits_for_others(session) else "end", None)
    if target.kind not in ("reading", "beside"):
        return Question(target.kind, target)
    return _for_reading(session, target, group_of(session, target.group))


def _for_reading(session: Session, target: Target, group: Group) -> Question:
    """What has to be known before a fastener is tightened, the first thing that is not."""
    if group.condition and group.id not in session.confirmed:
        return Question("condition", target)
    if any(each.lot for each in group.hardware) and group.id not in session.lots:
        return Question("lots", target)
    if session.bench is None or session.bench_group != group.id:
        return Question("wrench", target)
    if demand.needs_run_on(group) and session.gauge is None:
        return Question("gauge", target)
    if demand.needs_run_on(group) and run_on_of(session, target.place) is None:
        return Question("run-on", target)
    aimed = aim_of(session, target)
    assert aimed is not None  # noqa: S101  wrench and run-on torque are known here
    if session.bench.clicks and not setting_holds(session, target, aimed):
        return Question("setting", target, aimed)
    return Question("reading", target, aimed)
