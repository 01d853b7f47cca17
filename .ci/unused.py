"""Names in ``consult`` that nothing in it uses, not even a template, a schema or a command by name.

What only tests use is dead, too. Exit code 1 where there is any.
"""

from __future__ import annotations

import ast
import re
import sys
import tempfile
from keyword import iskeyword
from pathlib import Path

from vulture import Vulture

ROOT = Path(__file__).parents[1]
TEXTS = {".j2", ".json", ".yaml", ".tcss"}
OF_FRAMEWORKS = [
    *("action_*", "on_*", "_on_*", "watch_*", "check_*", "get_*", "compose", "visit_*"),
    *("BINDINGS", "BORDER_TITLE", "CSS_PATH", "DEFAULT_CSS", "AUTO_FOCUS", "ALLOW_SELECT"),
    *("border", "border_subtitle", "can_focus", "language", "virtual_size"),
    *("post_display_hook", "_position_to_cell"),  # Textual
    *("_open_app_process", "_stdin"),  # textual-serve
    "formatter_class",  # argparse
    *("impl", "cache_ok", "coltype", "process_bind_param", "result_processor"),  # SQLAlchemy
    *("code_generator_class", "intercepted_binops", "wrap_str_format"),  # Jinja
    *("serialize", "struct_parents", "struct_builder", "c_margin", "viewer_preferences"),  # fpdf2
    *("current_font_is_set_on_page", "buffer_text", "buffer_size", "*Handler"),  # fpdf2, expat
]
OURS = [
    "changed_ns",  # the key of a cache
    "contact_source",  # asked for by templates of versions published earlier
    "__call__",  # what a function taken as a value is like
    "all_typed",  # what a test of the screen waits for
]


def words_of_texts() -> set[str]:
    """Words of every template, schema and style sheet."""
    files = (one for folder in ("consult", "trees") for one in (ROOT / folder).rglob("*"))
    texts = (one.read_text(encoding="utf-8") for one in files if one.suffix in TEXTS)
    return {word for text in texts for word in re.findall(r"[A-Za-z_]\w*", text)}


def words_of_strings() -> set[str]:
    """Names that stand in a string of the program, such as a command's function."""
    files = (ROOT / "consult").rglob("*.py")
    nodes = (node for one in files for node in ast.walk(ast.parse(one.read_text(encoding="utf-8"))))
    texts = (one.value for one in nodes if isinstance(one, ast.Constant))
    named = (one for one in texts if isinstance(one, str) and " " not in one)
    return {word for one in named for word in re.findall(r"[A-Za-z_]\w*", one)}


def main() -> int:
    """Print them, each with its place."""
    found = Vulture(ignore_names=OF_FRAMEWORKS + OURS, ignore_decorators=["@on"])
    with tempfile.TemporaryDirectory() as folder:
        used = Path(folder) / "used.py"
        names = sorted(words_of_texts() | words_of_strings())
        used.write_text("".join(f"_.{name}\n" for name in names if not iskeyword(name)))
        found.scavenge([str(ROOT / "consult"), str(used)])
    unused = [one for one in found.get_unused_code() if ROOT in Path(one.filename).parents]
    for one in unused:
        print(f"{Path(one.filename).relative_to(ROOT)}:{one.first_lineno}: nothing uses {one.name}")
    return 1 if unused else 0


if __name__ == "__main__":
    sys.exit(main())
