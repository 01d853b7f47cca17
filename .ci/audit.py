"""Looks for known vulnerabilities of everything installed: ``audit.py PYTHON FOLDER``.

Runs pip-audit, from an environment of its own in FOLDER, on what is installed for PYTHON. Exit code
1 where a package has a known vulnerability. Where pip-audit cannot be installed, or the registry
does not answer for a package, that is said: what was not looked at does not count as safe.
"""

from __future__ import annotations

import json
import subprocess
import sys
import venv
from contextlib import suppress
from pathlib import Path


def main(python: str, folder: Path) -> int:
    """Print what was looked at and what was found."""
    pinned, found = folder / "pinned.txt", folder / "found.json"
    freeze = [python, "-m", "pip", "freeze", "--exclude-editable"]
    pinned.write_bytes(subprocess.run(freeze, check=True, stdout=subprocess.PIPE).stdout)
    venv.create(folder / "audit", with_pip=True)
    own = folder / "audit" / "bin" / "python"
    install = [str(own), "-m", "pip", "install", "--quiet", "pip-audit"]
    if subprocess.run(install, check=False, stderr=subprocess.DEVNULL).returncode:
        print("Vulnerabilities were not looked for: pip-audit cannot be installed.")
        return 0
    look = [
        *(str(own), "-m", "pip_audit", "--requirement", str(pinned), "--no-deps"),
        *("--disable-pip", "--progress-spinner", "off", "--timeout", "5"),
        *("--format", "json", "--output", str(found)),
    ]
    with suppress(subprocess.TimeoutExpired):
        subprocess.run(look, check=False, stderr=subprocess.DEVNULL, timeout=300)
    if not found.exists():
        print("Vulnerabilities were not looked for: the registry that lists them does not answer.")
        return 0
    packages = json.loads(found.read_text("utf-8"))["dependencies"]
    looked_at = [one for one in packages if "skip_reason" not in one]
    print(f"Known vulnerabilities: {len(looked_at)} of {len(packages)} packages looked at.")
    if len(looked_at) < len(packages):
        print("The registry here does not tell of the others.")
    unsafe = [one for one in looked_at if one["vulns"]]
    for one in unsafe:
        for known in one["vulns"]:
            mended = ", ".join(known["fix_versions"]) or "no version"
            print(f"{one['name']} {one['version']}: {known['id']}, mended in {mended}")
    return 1 if unsafe else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2])))
