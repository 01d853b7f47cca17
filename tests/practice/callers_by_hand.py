"""Practice callers made by hand, one for each thing an adviser may meet."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from consult.call.basis import Basis
from consult.practice.load import load_persona
from consult.practice.model import Persona
from tests.call.calls import basis_of

_HEAD = """\
practice: {name}
title: {name}
tree: {tree}
opening: [Hello.]
sex: {sex}
body: {{}}
truth:
  {first}: {value}
"""

_PLAIN = """\
  consent: yes
  reasons: [chair_worn]
  desk_kind: fixed
  desk_count: one_desk
  desk_height: 73 cm
  desk_thickness: 3 cm
  agreed: recommended
"""

SEATING = {
    "plain": _PLAIN,
    "emergency": _PLAIN + "  pain_sites: [lower_back]\n  warning_signs: [both_legs]\n",
    "urgent": _PLAIN + "  pain_sites: [lower_back]\n  pain_signs: [cough_pain]\n",
    "late_sign": _PLAIN
    + "  pain_sites: [lower_back]\n  lower_back_runs: runs_both\n  more_help: [pains]\n",
    "refer_then_stop": _PLAIN
    + """\
  pain_sites: [lower_back]
  pain_signs: [lasting]
  more_help: [pains]
  lower_back_runs: runs_both
""",
    "refer": _PLAIN + "  pain_sites: [neck, numb_hands]\n  pain_signs: [lasting]\n",
    "operated": _PLAIN + "  warning_signs: [operation]\n",
    "presses": _PLAIN
    + """\
behaviours:
  - name: skip_it
    kind: presses
    at: warning_signs
    says: [Put down no for all of it.]
    explain: Everybody hears the list.
""",
    "presses_at_stop": _PLAIN
    + """\
  warning_signs: [both_legs]
behaviours:
  - name: just_send_it
    kind: presses
    at: stop
    says: [Just send the chair.]
    explain: A stop stays.
""",
    "refuses": _PLAIN.replace("consent: yes", "consent: no"),
    "child": _PLAIN.replace("consent: yes", "who_sits: young_person"),
    "team": _PLAIN.replace("consent: yes", "who_sits: team"),
    "remembers": _PLAIN + "  stature_origin: remembered\n",
    "in_passing": _PLAIN
    + """\
behaviours:
  - name: legs_give_way
    kind: sign_in_passing
    at: reasons
    about: warning_signs
    answer: both_legs
    says: [My legs have been giving way lately.]
    explain: Legs that give way are a warning sign.
""",
    "denies": _PLAIN
    + """\
behaviours:
  - name: legs_tingle
    kind: sign_in_passing
    at: weight
    about: warning_signs
    answer: both_legs
    denied_first: yes
    says: [I do get pins and needles in both legs, mind.]
    explain: It is on the list that was denied.
""",
    "muddles": _PLAIN
    + """\
  pain_sites: [lower_back, hips]
  lower_back_runs: runs_nowhere
  more_help: [pains]
behaviours:
  - name: both_after_all
    kind: contradicts
    at: hips_where
    about: lower_back_runs
    answer: runs_both
    says: [It does go into both legs.]
    explain: Before, it stayed in the back.
""",
    "swollen": _PLAIN + "  warning_signs: [swollen_leg]\n",
    "numb": _PLAIN + "  pain_sites: [hips]\n  hips_where: [hips_numb]\n  more_help: [pains]\n",
    "weak_hand": _PLAIN
    + "  pain_sites: [wrists]\n  hands_when: [hands_sudden]\n  more_help: [pains]\n",
    "blades": _PLAIN
    + "  pain_sites: [upper_back]\n  upper_back_when: [upper_blades]\n  more_help: [pains]\n",
    "swelled": _PLAIN + "  special_care: [pregnant]\n  pregnant_now: [swelled_suddenly]\n",
    "new_hip": _PLAIN
    + """\
  special_care: [operation_before]
  operated_on: [hip_joint]
  operated_ago: under_three_months
""",
    "child_in_passing": _PLAIN.replace("consent: yes", "who_sits: young_person")
    + """\
behaviours:
  - name: still_at_school
    kind: sign_in_passing
    at: opening
    about: who_sits
    answer: young_person
    says: [It is for my boy, he is twelve.]
    explain: Nobody under 18 is fitted.
""",
    "refer_in_passing": _PLAIN
    + """\
  pain_sites: [neck, numb_hands]
behaviours:
  - name: hands_asleep
    kind: sign_in_passing
    at: reasons
    about: pain_sites
    answer: numb_hands
    says: [My hands go to sleep.]
    explain: Hands that go to sleep should be looked at.
""",
    "wrong_everywhere": _PLAIN
    + """\
  floor: carpet
manner: {units: mixed, chatty: yes, hurry: yes, vague: 50, rounds: yes}
behaviours:
  - {name: to_the_drawer, kind: wrong_tape, at: desk_height, off: -9 cm, says: [To the drawer.],
     explain: The tape went to the drawer.}
  - {name: in_shoes, kind: shoes_on, at: stature, says: [In my shoes.], explain: Shoes add height.}
  - {name: about_so, kind: rounds, at: weight, says: [About so.], explain: It was a guess.}
  - {name: not_sure, kind: vague, at: arm_use, says: ['Oh, it depends.'], explain: Ask again.}
  - {name: skips, kind: hurry, at: delivery_address, says: [Must I?], explain: Ask again.}
  - {name: other_height, kind: contradicts, at: tasks, about: desk_kind,
     answer: adjustable, says: [I move it up and down.], explain: It was fixed before.}
  - {name: on_carpet, kind: volunteers, at: reasons, about: floor, says: [On the carpet there.],
     explain: Enter it at once.}
""",
    "for_another": _PLAIN
    + """\
  who_sits: somebody_else
behaviours:
  - {name: fetch_her, kind: for_somebody_else, says: [I cannot know that.],
     mends: [Here she is.], explain: Have the sitter fetched.}
""",
    "says_no_first": _PLAIN
    + """\
behaviours:
  - {name: no_health, kind: refuses_consent, at: consent, says: [I would rather not.],
     explain: A no is a no.}
""",
}
"""Name -> the rest of the file, of callers for the main tree."""

OTHERS = ("follow_up", "my_chair", "set_up", "team_order")
"""Main trees besides, each with a caller of whom the file says next to nothing."""

NAMES = (*SEATING, *OTHERS)
LATE_SIGNS = ("numb", "weak_hand", "blades", "swelled", "new_hip")
"""Those whose sign comes out at a question after the list."""
HEALTH_SIGNS = ("emergency", "urgent", "late_sign", "refer", "operated", "in_passing", "denies")
"""Those with a sign that an adviser has to find or hear."""


@cache
def caller(name: str, seed: int = 1) -> tuple[Basis, Persona]:
    """A caller made by hand, with what the call is computed from."""
    tree = name if name in OTHERS else "seating"
    basis = basis_of(tree)
    first = "first_reference" if tree == "follow_up" else "caller_name"
    if first not in basis.tree.questions:
        first = basis.tree.first
    text = _HEAD.format(
        name=name,
        tree=tree,
        sex="female" if seed % 2 else "male",
        first=first,
        value="Jo" if basis.tree.questions[first].answer == "text" else "?",
    ) + SEATING.get(name, "")
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.yaml"
        path.write_text(text, "utf-8")
        persona, problems = load_persona(path, basis.tree, basis.population, seed)
    assert persona is not None, problems
    return basis, persona
