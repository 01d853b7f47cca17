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
FIT = ("tests/fit/test_requirements.py", "tests/fit/test_notes.py", "tests/fit/test_seating.py")
DESKS = ("tests/fit/test_workplace.py", "tests/fit/test_seating.py", "tests/fit/test_worth.py")
KEPT = ("tests/fit/test_assess.py",)
SMOOTH = ("tests/fit/test_seating.py",)
WORTH = ("tests/fit/test_worth.py", "tests/fit/test_worth_of_measures.py")
SCORES = ("tests/fit/test_scoring.py", "tests/fit/test_choose.py")
READY = ("tests/fit/test_settings.py",)
SHARED = ("tests/fit/test_sharing.py",)
DECLARED = ("tests/fit/test_declared.py", "tests/fit/test_declared_worth.py")
WAYS_OUT = ("tests/fit/test_trade_offs.py",)
PARTS = ("tests/range", "tests/fit/test_request.py")
TOLD = ("tests/fit/test_explanations.py",)
POOL = ("tests/call/test_gains.py", "tests/call/test_pools.py")
TREE = ("tests/tree/test_condition.py", "tests/tree/test_checks.py", "tests/tree/test_examples.py")
HEARING = ("tests/hearing",)
CHOICE = ("tests/fit/test_choose.py", "tests/fit/test_explanations.py")
BODY = ("tests/body/test_plausibility.py", "tests/body/test_estimate.py")
OUTSIDE = ("tests/published/test_coverage.py", "tests/published/test_survey.py")

MUTANTS: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    ("fit/rules.py", "else (leg * COS30, leg * COS5)", "else (leg * COS30, leg)", FIT),
    ("fit/rules.py", "(leg, leg) if kept_up", "(leg * COS30, leg) if kept_up", KEPT),
    ("fit/rules.py", "thigh + THIGH_MARGIN + thickness", "thigh + thickness", FIT),
    ("fit/rules.py", "FINGERS_OF_HAND * hand", "hand", FIT),
    ("fit/rules.py", "least = hips + HIP_MARGIN", "least = hips - HIP_MARGIN", FIT),
    ("fit/rules.py", "best - KEYBOARD_BELOW, best", "best - KEYBOARD_ABOVE, best", FIT),
    ("fit/requirements.py", '"hand_breadth": -FINGERS', '"hand_breadth": FINGERS', FIT),
    ("fit/requirements.py", '{"hip_breadth_sitting": 1.0}', '{"hip_breadth_sitting": 0.5}', FIT),
    (
        "fit/seating.py",
        "max(self.legs, self.seats[0], self.floor)",
        "max(self.legs, self.floor)",
        FIT,
    ),
    (
        "fit/seating.py",
        "max(self.legs, self.seats[0], self.floor)",
        "max(self.legs, self.seats[0])",
        KEPT,
    ),
    ("fit/seating.py", "FEET_REACH = 15.0", "FEET_REACH = 0.0", SMOOTH),
    ("fit/seating.py", "return min(self.wanted_seat, highest)", "return self.wanted_seat", FIT),
    ("fit/seating.py", "self.legs + self.rests[1]", "self.legs + self.rests[0]", FIT),
    ("fit/seating.py", "if self.seat == self._least:", "if self.seat == self.top[0]:", FIT),
    ("fit/seating.py", "on_floor, ANY, least)", "on_floor, ANY, -1e9)", KEPT),
    ("fit/rules.py", "np.where(desk[0] > open_, desk[0], folded)", "folded + 0 * open_", SCORES),
    ("fit/seating.py", "max(float(high), self.top[0] - self.above[0])", "float(high)", FIT),
    ("fit/seating.py", "least, (0.0, raised)", "least, (0.0, 0.0)", FIT),
    (
        "fit/rules.py",
        "else np.maximum(low, lowest_seat), high",
        "else low, high",
        KEPT,
    ),
    (
        "fit/ranking.py",
        "fits &= (chairs.heights[:, 1] >= lowest)",
        "fits |= (chairs.heights[:, 1] >= lowest)",
        KEPT,
    ),
    ("fit/ranking.py", ">= request.mass_limit", ">= 0 * request.mass_limit", CHOICE),
    ("fit/choose.py", "share * (1 - share) / n", "share * (1 + share) / n", CHOICE),
    ("fit/request.py", "measure.value + RATED_FOR * measure.sd", "measure.value", CHOICE),
    ("fit/workplace.py", "FIXED, ADJUSTABLE = 0.65, 0.30", "FIXED, ADJUSTABLE = 0.30, 0.65", DESKS),
    ("fit/workplace.py", "workplace.spreads.get(name, 0.0)", "0.0", DESKS),
    ("fit/scoring.py", "(np.any(with_rest, axis=0) & demands.later)", "floor", SCORES),
    ("fit/scoring.py", "axis=0) & demands.later)", "axis=0))", SCORES),
    ("fit/scoring.py", "| (on_floor[2] < chairs_from)", "", SCORES),
    ("fit/scoring.py", "usable = usable | demands.later", "pass", SCORES),
    ("fit/worth.py", "[name in OF_DESK for name in names]", "[False for name in names]", WORTH),
    ("fit/worth.py", "bare &= np.diff(of, prepend=-1) == 0", "pass", WORTH),
    ("fit/worth.py", "FOOTREST_WORTH * ~having", "0.0 * ~having", WORTH),
    ("fit/worth.py", "- self._slack", "", WORTH),
    ("fit/worth.py", "and not self.request.musts", "", WORTH),
    ("fit/worth.py", "by_rest.min() <", "by_rest.max() <", WORTH),
    ("fit/worth.py", "if cost >= _CLEARLY", "if cost >= 0", WORTH),
    ("fit/rules.py", "np.maximum(least - high, 0.0)", "np.maximum(least - low, 0.0)", READY),
    ("fit/rules.py", "- np.maximum(low - most, 0.0)", "", READY),
    ("fit/rules.py", "(np.maximum(figure, room) for", "(np.minimum(figure, room) for", FIT),
    (
        "fit/seating.py",
        "height <= self.feet_reach + SEAT_ROUNDING",
        "height <= SEAT_ROUNDING",
        SMOOTH,
    ),
    ("fit/seating.py", "self.feet_reach < base:", "0.0 < base:", KEPT),
    ("fit/seating.py", "over + KEYBOARD_ABOVE)", "over)", FIT),
    ("fit/seating.py", "- KEYBOARD_ABOVE - KEYBOARD_BELOW", "- KEYBOARD_ABOVE", FIT),
    ("fit/seating.py", "if self.seat == self.legs:", "if False:", FIT),
    ("fit/seating.py", "{} if moved else added(", "added(", FIT),
    ("fit/seating.py", "added({}, self.above_weights, -1)", "self.above_weights", FIT),
    ("fit/seating.py", "return self.too_low or self.thighs_short", "return self.too_low", FIT),
    ("fit/seating.py", "if by_thighs else ELBOWS", "if False else ELBOWS", FIT),
    ("fit/requirements.py", "+ (mean - centre) ** 2)", ")", FIT),
    ("fit/requirements.py", "- (VARIFOCAL_LOWER if varifocal else 0.0)", "", FIT),
    ("fit/requirements.py", "+ sitter.elbow + sitter.heel", "+ sitter.elbow", FIT),
    ("fit/requirements.py", '"sitting_height": -1.0', '"sitting_height": 1.0', FIT),
    ("fit/notes.py", "return bool(lowest_arm > surface - thickness)", "return True", FIT),
    ("fit/notes.py", "highest >= standing.low:", "highest >= standing.target:", FIT),
    ("fit/notes.py", "elif legs > highest:", "elif False:", FIT),
    ("fit/notes.py", "if needed > highest + SEAT_ROUNDING:", "if False:", FIT),
    ("fit/notes.py", "if short and seating.too_low:", "if False:", FIT),
    ("fit/notes.py", "lower_helps = bool(seating.keyboard_left_high) and", "lower_helps =", FIT),
    ("fit/assess.py", "max(seating.legs, seating.floor)", "seating.legs", KEPT),
    ("fit/assess.py", "if not hang and", "if", KEPT),
    ("fit/requirements.py", "max(0.0, min(height, seating.seat - seating.legs))", "height", FIT),
    ("fit/workplace.py", "is not None and low > high:", "is not None and low > 2 * high:", DESKS),
    ("fit/workplace.py", "math.hypot(TAPE[name],", "max(0.0 * TAPE[name],", WORTH),
    (
        "fit/workplace.py",
        'self.lowest if self.kind == "adjustable" else self.height',
        "self.height",
        DESKS,
    ),
    ("fit/workplace.py", 'object.__setattr__(self, "kind", "adjustable")', "pass", DESKS),
    ("fit/workplace.py", 'object.__setattr__(self, "kind", "fixed")', "pass", DESKS),
    ("fit/workplace.py", "low = np.minimum(low, desk.highest)", "pass", DESKS),
    ("fit/workplace.py", "lowest=LOWEST[0])", "lowest=LOWEST[0] + 5)", DESKS),
    ("fit/assess.py", 'desk.kind == "adjustable" and low_enough', "False", DESKS),
    ("fit/assess.py", "seating.footrest or not usual", "True or not usual", DESKS),
    ("fit/rules.py", "np.maximum(folded + rest[0], desk[0])", "folded + rest[0]", SCORES),
    ("fit/rules.py", "np.minimum(open_ + rest[1], desk[1])", "open_ + rest[1]", SCORES),
    (
        "fit/scoring.py",
        "mask |= floor",
        "pass",
        SCORES,
    ),
    ("fit/scoring.py", "mask &= reaches", "pass", SCORES),
    ("fit/scoring.py", "if demands.armless:", "if False:", SCORES),
    (
        "fit/scoring.py",
        "by_feet = hung >= np.maximum(over, under)",
        "by_feet = hung < 0",
        SCORES + TOLD,
    ),
    ("fit/ranking.py", "score[:, at] >= best + worth", "score[:, at] >= best", SCORES),
    ("fit/ranking.py", "- 2 * its * own * both", "- its * own * both", SCORES),
    ("fit/ranking.py", "(lead, pence[positions], compromises", "(lead, lead, compromises", SCORES),
    (
        "fit/ranking.py",
        "self.rows[[at]])[0, self.rest_of(codes)]",
        "self.rows[[at]])[0, 0]",
        SCORES,
    ),
    ("range/chairs.py", "if None in places else", "if False else", SCORES),
    (
        "range/parts.py",
        "(yes >= carries for",
        "(yes for",
        PARTS,
    ),
    (
        "fit/request.py",
        "weight.value + RATED_FOR * weight.sd <= rating",
        "weight.value <= rating",
        PARTS,
    ),
    ("range/parts.py", "lifted = castors.adds + (", "lifted = (", PARTS),
    ("range/model.py", "if part.price_for(pieces) != part.price", "if False", PARTS),
    ("range/parts.py", "if pieces >= n", "if pieces > n", PARTS),
    ("call/state.py", ".priced_for(quantity_ordered(now))", "", ("tests/call/test_pieces.py",)),
    ("range/model.py", "part.until < day", "part.until <= day", PARTS),
    ("range/model.py", "and self._allows(other, part)", "", PARTS),
    ("fit/settings.py", "low = high = requirement.target", "pass", READY),
    ("fit/settings.py", "high = math.inf", "pass", READY),
    ("fit/settings.py", 'miss = -NO_ARMS if name == "armrest_height" else 0', "miss = 0", READY),
    ("fit/settings.py", "rest += seat_height - asked.target", "pass", READY),
    ("fit/settings.py", 'if "footrest_height" in fit.missing:', "if False:", READY),
    ("fit/settings.py", 'or "too high" not in short.say.template', "", READY),
    ("fit/explanations.py", "if abs(middle) < 1:", "if False:", TOLD),
    ("fit/explanations.py", "part.rating < limit", "part.rating < 0", TOLD),
    ("fit/explanations.py", "if most < 1 or turned(0):", "if most < 1:", TOLD),
    ("fit/explanations.py", "max(by, float(ahead.std())", "max(-1.0, -float(ahead.std())", TOLD),
    ("fit/trade_offs.py", "usable & (self.p >= NOTHING_FITS)", "usable", WAYS_OUT),
    (
        "fit/trade_offs.py",
        "height - suits\n    if round(amount) <= 0:",
        "height - suits\n    if False:",
        WAYS_OUT,
    ),
    ("fit/trade_offs.py", "worth &= (lows <= lows[ordinary])[:, None]", "pass", WAYS_OUT),
    ("fit/sharing.py", "seed=seed + _APART * number", "seed=seed", SHARED),
    ("fit/sharing.py", "n=n, open_places=True", "n=n", SHARED),
    (
        "fit/sharing.py",
        "[person for person in weighed if person.rests] or weighed",
        "weighed[:1]",
        SHARED,
    ),
    (
        "fit/sharing.py",
        "mass = max(request.mass_limit for",
        "mass = min(request.mass_limit for",
        SHARED,
    ),
    (
        "fit/sharing.py",
        "rest.height if rest else (0.0, 0.0)",
        "rest.height if rest else None",
        SHARED,
    ),
    ("fit/sharing.py", ">= _NOTICED", ">= 0", SHARED),
    ("fit/ranking.py", "- 2 * its * own * both", "", SHARED),
    (
        "fit/worth.py",
        "np.maximum(request.told_mass, masses)",
        "masses",
        WORTH,
    ),
    ("fit/worth.py", "+ RATED_FOR * spread", "", WORTH),
    ("fit/worth.py", "((0, 1), (1, 0))", "((0, 0), (1, 1))", WORTH),
    ("fit/worth.py", "both[order]", "fits[order]", WORTH),
    ("fit/replies.py", "readings + RATED_FOR * error", "readings", WORTH),
    ("fit/replies.py", "values + sd * normals", "values + 0 * normals", WORTH),
    ("fit/replies.py", " / sd).astype", " / 1.0).astype", WORTH),
    ("fit/replies.py", "odds *= width[:, :, None]", "pass", ("tests/fit/test_replies.py",)),
    ("fit/replies.py", "np.arange(1, 2 * many, 2)", "np.full(many, many)", WORTH),
    ("fit/ranking.py", "armless=armless", "armless=False", CHOICE),
    (
        "fit/scoring.py",
        "mean[:, rest] = _mean(height)",
        "mean[:, rest] = 0 * _mean(height)",
        SCORES,
    ),
    ("fit/scoring.py", "mean += missed[set_of[rows]]", "mean += 0 * missed[set_of[rows]]", SCORES),
    ("fit/declared.py", "= alike[lacking == lacking.min()]", "= alike", DECLARED),
    ("fit/declared.py", "odds[may].max() - TIED", "odds[may].max() - 1", DECLARED),
    ("fit/declared.py", "suits &= products.having", "suits |= products.having", DECLARED),
    (
        "fit/declared.py",
        "targets.get(quantity.name, np.nan)",
        "targets.get(quantity.name)",
        DECLARED,
    ),
    ("fit/declared_worth.py", "TIED, self._products", "TIED, -self._products", DECLARED),
    ("fit/declared.py", "(least <= high) & (most >= low)", "(least <= high)", DECLARED),
    ("fit/declared.py", "np.clip(target, low, high)", "target", DECLARED),
    ("fit/declared.py", "products.made_of(only or {})", "products.made_of({})", DECLARED),
    ("range/fitting.py", "sorted(factor * end for", "list(factor * end for", PARTS),
    ("range/model.py", "if all(self.agree(*pair)", "if any(self.agree(*pair)", PARTS + DECLARED),
    ("range/whole.py", "_strongest(later) < _strongest(loaded)", "False", PARTS),
    ("body/conditional.py", "+ (self.gain * self.seen.variance) @ self.gain.T", "", BODY),
    ("body/conditional.py", "- float(np.log(np.diagonal(root)).sum())", "", BODY),
    ("body/estimate.py", "part.sd**2 + (", "part.sd**2 + 0 * (", BODY),
    ("call/gains.py", "/ (many + 1)", "", POOL),
    ("call/gains.py", "- self.least * seconds_of(questions[other])", "", POOL),
    ("call/gains.py", "knowing[question.name] * pool", "knowing[question.name] + pool", POOL),
    ("call/gains.py", "knowing[question.name] * chance", "chance", POOL),
    ("call/gains.py", "if not other.spared(then):", "if True:", POOL),
    ("call/gains.py", 'question.sets == "desk_kind" and', "False and", POOL),
    ("call/gains.py", "chance * (1 - alone)", "chance", POOL),
    ("call/worth.py", "key=lambda question: -gains", "key=lambda question: gains", POOL),
    ("call/route.py", "if not ahead:", "if True:", POOL),
    ("tree/condition.py", "(error.offset or 1) - 1 + shift", "(error.offset or 1) - 1", TREE),
    (
        "tree/condition.py",
        "offset = expr.col_offset + self.shift",
        "offset = expr.col_offset",
        TREE,
    ),
    (
        "tree/condition.py",
        "if depth > _MAX_DEPTH:\n            raise ConditionError(*_TOO_DEEP, position)",
        "if depth > 2 * _MAX_DEPTH:\n            raise ConditionError(*_TOO_DEEP, position)",
        TREE,
    ),
    (
        "tree/condition.py",
        "part(left), part(right), offset",
        "part(left), part(left), offset",
        TREE,
    ),
    ("tree/evaluators.py", "denied: of(not denied)", "denied: of(denied)", TREE),
    ("hearing/quantity.py", '"ft": {"in": 12}', '"ft": {"in": 13}', HEARING),
    ("hearing/meaning.py", "_NEARLY_USUAL = (0.75, 1.3)", "_NEARLY_USUAL = (0.5, 2.0)", HEARING),
    ("hearing/phrase.py", "check_small(part, big)", "pass", HEARING),
    ("hearing/filling.py", 'check_small(part, big.unit or "")', "pass", HEARING),
    ("body/population.py", "** group.growth", "** (0 * group.growth)", OUTSIDE),
    ("body/population.py", "* left + transfer)", "* left)", OUTSIDE),
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
    ("body/conditional.py", "mean[at] += beyond", "pass", ("tests/body/test_estimate.py",)),
    ("body/conditional.py", "(beyond / 2) ** 2", "0.0", ("tests/body/test_estimate.py",)),
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
