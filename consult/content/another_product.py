"""What a library begins with that is to fit another product than chairs: a tree that only asks for
the name, the consent and the warning signs."""

from __future__ import annotations

import re

_THING = re.compile(r"[a-z][a-z0-9_]{0,29}")
_TREE = """\
# What every call begins with. Say that the tree works out a fitting, and add your questions: how
# that is done is told in GUIDE.md, "Another kind of product".
tree: {tree}
title: Choosing a {thing}
version: 1
first: caller_name
after_stop: call_back_number
works_out: nothing
questions:
  caller_name:
    ask: <maker.greeting> Who am I speaking to?
    called: name
    answer: text
    sets: caller_name
    private: personal
    next: consent

  consent:
    ask: >-
      May I ask about your health and note the answers, so I don't give you the wrong advice? You
      can say no, or change your mind later.
    coach: Wait for a clear yes. A maybe is a no. The answers are deleted after 90 days.
    called: permission
    answer: yes-no
    sets: consent
    unknown: refused
    next: the_safety

  the_safety:
    include: safety
    next: reason

  reason:
    ask: What made you ring?
    coach: Write down what matters for the {thing}, in the caller's words.
    answer: text
    next: call_back_number

  call_back_number:
    ask: What's the best number or e-mail address to reach you?
    coach: Read it back. If they would rather not say, answer not known.
    called: contact
    answer: text
    sets: caller_contact
    private: personal
    next: end
"""


def first_tree(thing: str) -> tuple[str, str] | None:
    """The name of the file and its text; None for what no tree can be called."""
    if not _THING.fullmatch(thing):
        return None
    tree = f"{thing}_fitting"
    return f"{tree}.yaml", _TREE.format(tree=tree, thing=thing.replace("_", " "))
