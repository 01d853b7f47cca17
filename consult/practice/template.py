"""A caller's file to begin with: it can be played as it stands, and explains every key."""

from __future__ import annotations

_TEXT = """\
# A practice caller. Keep the file beside the other callers (trees/practice), called as on the next
# line. Check it with: consult check {name}.yaml. All mistakes are reported at once.
practice: {name}
# Shown before the call, so it gives nothing away. turns_out is shown after it.
title: A chair for the office
turns_out: The tape ended under the drawer.
tree: seating
# Of the one who will sit: female, male, or either (then the seed decides).
sex: either
# easy, middling or hard; leave it out, and it goes by how much there is to notice.
difficulty: easy
# The first words. One of them is said, by the seed.
opening:
  - Hello, it's about a chair for my desk.
  - Good morning. Could you help me find an office chair?
# Any measure of the body as a figure or a span. What is left out is drawn from the survey.
body:
  stature: 160 to 175 cm
# What is true, by the name of the question. What is left out gets a believable answer, no sign.
truth:
  who_sits: caller
  reasons: [chair_worn]
  consent: yes
  pain_sites: [none]
  desk_kind: fixed
  desk_height: 74 cm
# The caller's own words for an answer; else those of words.yaml.
says:
  reasons:
    chair_worn:
      - The old one is worn out.
# How they speak. units: metric, imperial or mixed; way: one of words.yaml; vague: of 100 answers.
manner: {{units: metric, way: plain, vague: 5}}
# Traits by the seed (traits.yaml): a number, a span, or a share.
draws:
  remark: 40 in 100
# What the adviser has to notice. kinds: wrong_tape, shoes_on, rounds (a figure is off); vague,
# hurry, interrupted, for_somebody_else (no answer yet); mixes_units, refuses_consent; and, about
# another question, volunteers, contradicts, sign_in_passing (about: and answer:).
behaviours:
  - name: up_to_the_drawer
    kind: wrong_tape
    at: desk_height
    off: -10 to -6 cm
    says:
      - I measured up to the drawer.
      - From the floor to the drawer, that's where it ends.
    mends:
      - Oh, up to the top. That's more.
    explain: >-
      The tape ended under the drawer. Ask where it ends, and have it measured again.
"""


def caller_template(name: str) -> str:
    """The file of a new caller, to be changed; ``name`` is that of the file."""
    return _TEXT.format(name=name)
