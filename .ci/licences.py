"""Whether everything consult needs to run may be given on with it, under its MIT licence.

Looks at the installed packages that consult and its extras for users need, and at those that these
need. Exit code 1 where a licence is not in the list below: somebody then reads it, and adds it or
takes the package out. The LGPL is in the list, as a library under it may be used as it is.
"""

from __future__ import annotations

import re
import sys
from importlib.metadata import Distribution, PackageNotFoundError, distribution

FOR_USERS = ("", "web", "team", "crypt", "content")
ALLOWED = re.compile(
    r"(MIT(-0|-CMU)?|MIT License|BSD(-[23]-Clause| License)?|0BSD|Zlib|CC0-1\.0|PSF-2\.0|PSFL"
    r"|Apache([ -](License )?2(\.0)?| Software License|)|Apache License 2\.0|MPL-2\.0"
    r"|LGPL-3\.0-only|Python Software Foundation License)"
)


def licences(package: Distribution) -> list[str]:
    """What a package says of its licence, each part of an expression apart."""
    told = package.metadata
    said = told.get("License-Expression") or ""
    if not said:
        kinds = [one for one in told.get_all("Classifier") or [] if one.startswith("License")]
        said = " AND ".join(one.rsplit(" :: ", 1)[-1] for one in kinds) or told.get("License") or ""
    return [one.strip(" ()") for one in re.split(r"\bAND\b|\bOR\b", said)]


def needed() -> dict[str, Distribution]:
    """Every package that a user of consult has, by name."""
    found: dict[str, Distribution] = {}
    left = [("consult", extra) for extra in FOR_USERS]
    seen = set(left)
    while left:
        name, extra = left.pop()
        try:
            package = found[name] = distribution(name)
        except PackageNotFoundError:
            continue  # for another system
        for line in package.requires or ():
            asked, _, when = line.partition(";")
            wanted = re.findall(r"extra *== *['\"]([^'\"]+)", when)
            other = re.match(r"([\w.-]+) *(?:\[([^]]*)\])?", asked)
            if other is None or (wanted and extra not in wanted):
                continue
            for more in ("", *(other[2] or "").replace(" ", "").split(",")):
                key = re.sub(r"[-_.]+", "-", other[1]).lower(), more
                if key not in seen and key[0] != "consult":
                    seen.add(key)
                    left.append(key)
    return found


def main() -> int:
    """Print each package with its licence."""
    bad = 0
    for name, package in sorted(needed().items()):
        said = licences(package)
        refused = [one for one in said if not ALLOWED.fullmatch(one)]
        bad += bool(refused)
        print(f"{'NOT ALLOWED ' if refused else ''}{name}: {', '.join(said)}")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
