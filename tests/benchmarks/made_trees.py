"""Trees made up for benchmarks, as large as is asked for."""

from __future__ import annotations


def tree(questions: int, mark: int = 0) -> str:
    """A tree with routes, sub-conditions and advice; ``mark`` makes each text another."""
    lines = ["tree: big", f"title: T{mark}", "version: 1", "first: q0", "questions:"]
    for number in range(questions):
        go = f"q{number + 1}" if number < questions - 1 else "end"
        lines += [
            f"  q{number}:",
            f"    ask: What is the number {number} of this thing, please?",
            "    coach: >-",
            "      Sit upright and measure it twice.",
            "      Then say it back.",
            f"    called: [short {number} a]",
        ]
        if number % 3 == 0:
            lines += ["    answer: length", "    unit: cm", "    expect: 30 to 90", "    next:"]
            lines += [f"      - when: q{number} < 50", f"        go: {go}"]
            lines += [f"      - otherwise: {go}"]
        elif number % 3 == 1:
            lines += ["    answer: choices", "    choices:", "      none: Nowhere"]
            lines += ["      neck: Neck", "      back: Back", "    exclusive: none"]
            lines += [f"    next: {go}"]
        else:
            lines += ["    answer: yes-no", f"    next: {go}"]
            lines += [f"    skip_when: not q{number - 1} == none and q{number - 2} > 40"]
    lines.append("advice:")
    for number in range(0, questions - 2, 3):
        lines += [
            f"  - name: a{number}",
            "    topic: t",
            f"    when: q{number} > 40 and neck in q{number + 1} or q{number + 2}",
            "    say: Do that, and this too.",
            "    because: It is better for you so.",
            "    source: common_practice",
        ]
    return "\n".join(lines) + "\n"
