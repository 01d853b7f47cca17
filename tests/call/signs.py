"""A small tree with a list of warning signs that everybody hears, to test stops and consent."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from consult.call.basis import Basis
from consult.call.call import Call
from consult.call.session import Session
from consult.call.state import State, state_so_far
from tests.call.calls import TODAY, small

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
TREE = """\
tree: little
title: A list that everybody hears
version: '1'
first: caller_name
after_stop: caller_contact
works_out: nothing
questions:
  caller_name: {ask: Who is calling?, answer: text, sets: caller_name, next: signs}
  signs:
    ask: Is any of these true for you now?
    answer: choices
    unknown: refused
    choices:
      none: None of these
      legs: Weakness in both legs
      saddle: Numbness between the legs
      swollen: One leg is swollen
      ache: It only aches
      not_sure: Not sure
    exclusive: none
    private: health
    stored: with_consent
    next: consent
  consent:
    ask: May I store what you say about your health?
    answer: yes-no
    sets: consent
    next:
      - {when: consent, go: pain}
      - {otherwise: bag}
  pain:
    ask: How bad is it, from 0 to 10?
    answer: count
    expect: 0 to 10
    private: health
    next: lasting
  lasting: {ask: Has it lasted long?, answer: yes-no, private: health, next: bag}
  bag:
    ask: What do you carry?
    answer: choices
    choices: {nothing: Nothing, laptop: A laptop, sign_said: A warning sign was mentioned}
    exclusive: nothing
    next: at_home
  at_home: {ask: Do you work at home?, answer: yes-no, next: delivery_country}
  delivery_country:
    ask: Where does it go?
    called: [place]
    answer: choice
    choices:
      united_kingdom: United Kingdom
      germany: Germany
      elsewhere: Another country
    sets: delivery_country
    next: caller_contact
  caller_contact:
    ask: How do we reach you?
    answer: text
    sets: caller_contact
    private: personal
    next: end
cautions:
  - name: emergency
    level: stop
    when: legs in signs or saddle in signs or sign_said in bag
    say: I have to stop here. Please <contact>.
    contact: emergency
  - name: clot
    level: stop
    when: swollen in signs and (at_home or not known(at_home))
    say: Please <contact>.
    contact: urgent
  - name: unsure
    level: stop
    when: not_sure in signs
    say: Please <contact>.
    contact: doubt
  - name: much_pain
    level: stop
    when: pain >= 9
    say: Please <contact>.
    contact: urgent
  - name: aching
    level: refer
    when: ache in signs
    say: Please <contact>.
    contact: clinician
  - {name: lasting_long, level: refer, when: lasting, say: Please <contact>., contact: clinician}
"""


@cache
def little() -> Basis:
    """The tree above, with the shipped contacts."""
    with TemporaryDirectory() as folder:
        return small(Path(folder), TREE)


def led(*said: tuple[str, str], country: str = "GB") -> Session:
    """A call in which these questions were answered so; cautions wait to be said."""
    found = Session(little(), Call(TODAY, country=country), NOON)
    for question, words in said:
        give(found, question, words)
    return found


def give(found: Session, question: str, words: str) -> None:
    """Answer a question, whether it is its turn or not."""
    found.ask(little().tree.questions[question])
    reply = found.offer(words, NOON)
    assert reply.taken, (question, words, reply)


def say_all(found: Session) -> list[str]:
    """Say every caution that waits; their names."""
    names = []
    while waiting := found.now.to_say:
        names.append(waiting[0].caution.name)
        found.said(waiting[0], NOON)
    return names


def again(call: Call) -> State:
    """A stored call as whoever opens it sees it."""
    return state_so_far(little(), call)
