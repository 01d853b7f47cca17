"""Templates of anybody: each ends soon, with a line, and the paper is written all the same."""

from __future__ import annotations

import tracemalloc

import pytest
from jinja2 import TemplateError

from consult.summary import templates
from consult.summary.templates import MOST_LINES
from consult.summary.wording import Wording, problems_in
from tests.summary.calls import GOOD, summary_of

LOOP = "{%% for a in range(60) %%}{%% set n.x = n.x %s n.x %%}{%% endfor %%}"
HOSTILE = {
    "a long text": '{{ "x" * 10**9 }}',
    "a long text by steps": '{{ "x" * 1000000 * 1000 }}',
    "nested loops": "{% for a in range(9999) %}{% for b in range(99999) %}{% endfor %}{% endfor %}",
    "much output": "{% for a in range(99999) %}" + "x" * 900 + "{% endfor %}",
    "an endless macro": "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
    "doubling": ("{% set n = namespace(x='xx') %}" + LOOP % "~"),
    "doubling a list": ("{% set n = namespace(x=[1]) %}" + LOOP % "+"),
    "doubling a number": ("{% set n = namespace(x=9) %}" + LOOP % "*"),
    "a filter": '{{ "x"|center(1000000000) }}',
    "another filter": "{{ [1]|batch(1000000000, 'x')|list }}",
    "a method": '{{ "x".ljust(1000000000) }}',
    "a format": '{{ "%1000000000d" % 1 }}',
    "another format": '{{ "{:>1000000000}".format(1) }}',
    "filler": "{{ lipsum(n=1000000) }}",
    "an unknown name": "{{ s.nonsense }}",
    "a long text between many": '{{ range(9000)|join("x" * 900) }}',
    "the same by a method": '{{ ("x" * 900).join("y " * 9000) }}',
    "lists of a list together": "{{ ([[1] * 9000] * 900)|sum(start=[])|length }}",
    "a list in itself, twice": (
        "{% set n = namespace(x=[1]) %}{% for a in range(60) %}{% set n.x = [n.x, n.x] %}"
        "{% endfor %}{{ n.x }}"
    ),
    "the same, then a filter": (
        "{% set n = namespace(x=[1]) %}{% for a in range(60) %}{% set n.x = [n.x, n.x] %}"
        "{% endfor %}{{ n.x|lower }}"
    ),
    "the same, then a text": (
        "{% set n = namespace(x=[1]) %}{% for a in range(60) %}{% set n.x = [n.x, n.x] %}"
        "{% endfor %}{{ 'a' ~ n.x }}"
    ),
    "a power": "{{ 9**9**9 }}",
}


@pytest.mark.parametrize("template", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_template_is_told_by_its_line(
    template: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Within bounds of time and memory, here a tenth of those that a paper never needs."""
    monkeypatch.setattr(templates, "MOST_TEXT", templates.MOST_TEXT // 10)
    wording = Wording({"caller": f"# Title\n\n{template}\n"})
    summary = summary_of(GOOD)
    tracemalloc.start()
    try:
        (problem,) = problems_in(wording, [summary])
        assert tracemalloc.get_traced_memory()[1] < 10_000_000
    finally:
        tracemalloc.stop()
    assert problem.where.file == "caller.md.j2"
    assert problem.where.line in (1, 3)
    assert "cannot be worked out" not in problem.message


def test_an_endless_macro_ends_long_before_python_does() -> None:
    """In our words, and with room left for whatever Python does meanwhile."""
    wording = Wording({"caller": HOSTILE["an endless macro"]})
    with pytest.raises(TemplateError, match="calls itself"):
        wording.blocks("caller", summary_of(GOOD), "metric", {})


def test_a_template_taken_in_that_is_not_there() -> None:
    """Its name is told, and how names are written."""
    wording = Wording({"caller": "{% include 'parts.md.j2' %}", "parts": ""})
    (problem,) = problems_in(wording, [summary_of(GOOD)])
    assert problem.message == ("There is no template 'parts.md.j2'. Leave out the ending .md.j2.")


def test_macros_may_call_each_other() -> None:
    """Twenty deep is far more than a paper has, and after that the next starts anew."""
    deep = "{% macro m(n) %}{{ n }}{% if n < 20 %}{{ m(n + 1) }}{% endif %}{% endmacro %}"
    wording = Wording({"caller": deep + "- {{ m(1) }}\n" * 9})
    assert wording.blocks("caller", summary_of(GOOD), "metric", {})


def test_the_limits_are_far_from_any_paper() -> None:
    """A long list of long lines is filled."""
    wording = Wording(
        {"caller": "{% for a in range(2000) %}- {{ a * 2 }} {{ 'x' ~ a }}\n{% endfor %}"}
    )
    assert wording.blocks("caller", summary_of(GOOD), "metric", {})
    assert MOST_LINES > 50 * 2000
