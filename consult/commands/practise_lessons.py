"""``consult practise --example`` and ``--words``: reading for before the first call."""

from __future__ import annotations

from argparse import Namespace

from consult.commands import clock
from consult.commands.outcome import Outcome, complain
from consult.commands.population import chosen_population
from consult.practice.learner.store import Learners, practice_place
from consult.ui.practice.lessons import example_text, words_text
from consult.ui.practice.practising import NotReady, Practising
from consult.visible import visible


def run(options: Namespace) -> Outcome:
    """Print the example call or the word list."""
    if options.words:
        print(words_text())
        return Outcome.DONE
    try:
        population = chosen_population(options.population)
        practising = Practising([], Learners(practice_place()), "", clock.now, population)
        print(visible(example_text(practising.example())))
    except (NotReady, ValueError) as trouble:
        return complain(str(trouble))
    return Outcome.DONE
