"""Rules of fit, body, pools, conditions and hearing broken one at a time; each must fail a test.

    python -m tests.mutants [part of a file name]

Every mutant is written into a copy of the package, so that the checkout stays as it is. Prints
each survivor, and how many were killed; the exit code is 1 where any survived.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
FIT = ("tests/fit/test_requirements.py", "tests/fit/test_seating.py", "tests/fit/test_notes.py")
KEPT = ("tests/fit/test_assess.py",)
SMOOTH = ("tests/fit/test_seating.py",)
WORTH = ("tests/fit/test_worth.py",)
POOL = ("tests/call/test_gains.py", "tests/call/test_answers.py", "tests/call/test_pools.py")
TREE = ("tests/tree/test_condition.py", "tests/tree/test_checks.py", "tests/tree/test_examples.py")
HEARING = ("tests/hearing",)
CHOICE = ("tests/fit/test_choose.py", "tests/fit/test_explanations.py")
BODY = ("tests/body/test_plausibility.py", "tests/body/test_estimate.py")
OUTSIDE = ("tests/published/test_coverage.py", "tests/published/test_survey.py")

MUTANTS: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    ("fit/rules.py", "leg * COS30, leg * COS5, leg", "leg * COS30, leg, leg", FIT),
    ("fit/rules.py", "(leg, leg, leg + KEPT_UP)", "(leg * COS30, leg, leg + KEPT_UP)", KEPT),
    ("fit/rules.py", "thigh + THIGH_MARGIN + thickness", "thigh + thickness", FIT),
    ("fit/rules.py", "FINGERS_OF_HAND * hand", "hand", FIT),
    ("fit/rules.py", "least = hips + HIP_MARGIN", "least = hips - HIP_MARGIN", FIT),
    ("fit/rules.py", "best - KEYBOARD_BELOW, best", "best - KEYBOARD_ABOVE, best", FIT),
    ("fit/requirements.py", '"hand_breadth": -FINGERS', '"hand_breadth": FINGERS', FIT),
    ("fit/requirements.py", '{"hip_breadth_sitting": 1.0}', '{"hip_breadth_sitting": 0.5}', FIT),
    (
        "fit/seating.py",
        "max(self.legs, self.seat[0], self.floor)",
        "max(self.legs, self.floor)",
        FIT,
    ),
    (
        "fit/seating.py",
        "max(self.legs, self.seat[0], self.floor)",
        "max(self.legs, self.seat[0])",
        KEPT,
    ),
    ("fit/seating.py", "FEET_REACH = 15.0", "FEET_REACH = 0.0", SMOOTH),
    ("fit/seating.py", "min(max(self.base, least), self.highest)", "max(self.base, least)", FIT),
    ("fit/seating.py", "self.legs + self.footrest[1]", "self.legs + self.footrest[0]", FIT),
    ("fit/seating.py", "if seat == top[0] - clearance.high:", "if seat == top[0]:", FIT),
    ("fit/seating.py", "folded = max(folded, sitter.lowest_seat)", "folded = folded", KEPT),
    (
        "fit/scoring.py",
        "np.where(raised, desk_from, folded), floor",
        "np.where(raised, desk_from, folded), -1e9",
        KEPT,
    ),
    (
        "fit/ranking.py",
        "found &= (chairs.heights[:, 1] >= lowest)",
        "found |= (chairs.heights[:, 1] >= lowest)",
        KEPT,
    ),
    ("fit/ranking.py", ">= request.mass_limit", ">= 0 * request.mass_limit", CHOICE),
    ("fit/choose.py", "share * (1 - share) / n", "share * (1 + share) / n", CHOICE),
    ("fit/request.py", "one.value + RATED_FOR * one.sd", "one.value", CHOICE),
    ("fit/workplace.py", "FIXED, ADJUSTABLE = 0.65, 0.30", "FIXED, ADJUSTABLE = 0.30, 0.65", WORTH),
    ("fit/workplace.py", "workplace.spreads.get(name, 0.0)", "0.0", WORTH),
    ("fit/scoring.py", "with_rest = [np.any(with_rest, axis=0)]", "pass", WORTH),
    ("fit/worth.py", "2 * answer + (1 - half)", "2 * answer + half", WORTH),
    ("fit/worth.py", "gained += np.where(answer > 0, now - without, 0.0)", "pass", WORTH),
    ("fit/worth.py", "FOOTREST_WORTH * ~chairs", "0.0 * ~chairs", WORTH),
    ("fit/worth.py", "- self._slack", "", WORTH),
    ("fit/worth.py", "and not self.request.musts", "", WORTH),
    ("fit/worth.py", "by_rest.min() <", "by_rest.max() <", WORTH),
    ("fit/worth.py", "if cost >= _CLEARLY", "if cost >= 0", WORTH),
    ("call/gains.py", "/ (many + 1)", "", POOL),
    ("call/gains.py", "- self.least * seconds_of(one)", "", POOL),
    ("call/gains.py", "shares.knowing(question) * found", "shares.knowing(question) + found", POOL),
    ("call/gains.py", 'question.sets == "desk_kind" and', "False and", POOL),
    ("call/answers.py", "chance * (1 - alone)", "chance", POOL),
    ("call/worth.py", "if rate > most", "if rate >= most", POOL),
    ("call/route.py", "if ahead else", "if False else", POOL),
    ("tree/condition.py", "(error.offset or 1) - 1 + shift", "(error.offset or 1) - 1", TREE),
    ("tree/condition.py", "found.col_offset + self.shift", "found.col_offset", TREE),
    ("tree/condition.py", "if depth > MAX_DEPTH:", "if depth > 2 * MAX_DEPTH:", TREE),
    (
        "tree/condition.py",
        "part(left), part(right), offset",
        "part(left), part(left), offset",
        TREE,
    ),
    ("tree/nodes.py", "_until(False, [part", "_until(True, [part", TREE),
    ("hearing/quantity.py", '"ft": {"in": 12}', '"ft": {"in": 13}', HEARING),
    ("hearing/meaning.py", "_NEARLY_USUAL = (0.75, 1.3)", "_NEARLY_USUAL = (0.5, 2.0)", HEARING),
    ("hearing/phrase.py", "check_small(part, big)", "pass", HEARING),
    ("hearing/filling.py", 'check_small(part, big.unit or "")', "pass", HEARING),
    ("body/population.py", "** self.growth", "** (0 * self.growth)", OUTSIDE),
    ("body/population.py", "+ np.diag(self.transfer**2)", "", OUTSIDE),
    (
        "body/population.py",
        "value * (1 + self.understated)",
        "value * (1 - self.understated)",
        OUTSIDE,
    ),
    ("body/plausibility.py", "min(off / HEAVIER, SET_ASIDE)", "off / LIGHTER", BODY),
    ("body/plausibility.py", "off / LIGHTER if off < 0", "0.0 if off < 0", BODY),
    (
        "body/conditional.py",
        "readings = sorted(by_index[index])",
        "readings = by_index[index]",
        BODY,
    ),
    ("body/conditional.py", "mean[at] += beyond", "pass", ("tests/body/test_heavy.py",)),
    ("body/conditional.py", "(beyond / 2) ** 2", "0.0", ("tests/body/test_heavy.py",)),
)


def survivors(only: str) -> list[str]:
    """The mutants no test noticed; those of files whose name holds ``only``."""
    found = []
    asked = [one for one in MUTANTS if only in one[0]]
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in ("consult", "tests", "trees", "transcripts_demo"):
            shutil.copytree(ROOT / name, copy / name)
        shutil.copy(ROOT / "pyproject.toml", copy)
        for file, old, new, tests in asked:
            path = copy / "consult" / file
            text = path.read_text(encoding="utf-8")
            if old not in text:
                raise SystemExit(f"{file} no longer holds: {old}")
            path.write_text(text.replace(old, new, 1), encoding="utf-8")
            if _passes(copy, tests):
                found.append(f"{file}: {old} -> {new}")
            path.write_text(text, encoding="utf-8")
    print(f"{len(asked) - len(found)} of {len(asked)} killed")
    return found


def _passes(folder: Path, tests: tuple[str, ...]) -> bool:
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests]
    shared = ROOT.parent / "shared" / "reference"
    named = {
        "CONSULT_SURVEY_CSV": str(shared / "ansur2_seated.csv"),
        "CONSULT_USAF_CSV": str(shared / "usaf1967_men.csv"),
    }
    surroundings = {**named, **os.environ, "PYTHONPATH": str(folder)}
    done = subprocess.run(
        command, cwd=folder, env=surroundings, capture_output=True, text=True, check=False
    )
    return done.returncode == 0


if __name__ == "__main__":
    left = survivors(sys.argv[1] if len(sys.argv) > 1 else "")
    print("\n".join(left))
    sys.exit(1 if left else 0)
