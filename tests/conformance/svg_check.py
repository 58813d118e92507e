"""Holds the SVG files of a build against the document type of SVG 1.1 (W3C, second edition; Debian `w3c-sgml-lib`).

Run: `python tests/conformance/svg_check.py BUILD_FOLDER`. Names and ids, what may stand in what, and that no id is used twice are
the document type's; it is older than the attributes `role`, `aria-*` and `data-*`, which SVG 2 (W3C CR 2018, 5.10 and 5.13)
has: those are looked at here and left out of what is shown to xmllint. Exit status 1 if anything is wrong.
"""

import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree
from pathlib import Path

DTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"
SVG = "http://www.w3.org/2000/svg"
# Roles of SVG that are given here (WAI-ARIA 1.2).
ROLES = {"img", "group", "presentation", "none"}
LATER = re.compile(r"(role|aria-(label|labelledby|describedby|hidden)|data-[a-z][a-z0-9-]*)\Z")


def faults_later(root) -> list[str]:
    """What is wrong with attributes that the document type does not know; they are taken out."""
    ids = {own.get("id") for own in root.iter() if own.get("id")}
    wrong = []
    for own in root.iter():
        for name in [name for name in own.attrib if LATER.match(name)]:
            value = own.attrib.pop(name)
            if name == "role" and value not in ROLES:
                wrong.append(f"role {value!r}")
            if name in ("aria-labelledby", "aria-describedby"):
                wrong += [f"{name} names no id {word!r}" for word in value.split() if word not in ids]
    return wrong


def main() -> int:
    files = sorted(Path(sys.argv[1]).rglob("*.svg"))
    if not files:
        print("svg_check: no SVG here")
        return 1
    wrong = []
    tree.register_namespace("", SVG)
    with tempfile.TemporaryDirectory() as folder:
        plain = []
        for number, file in enumerate(files):
            document = tree.parse(file)
            root = document.getroot()
            if root.tag != f"{{{SVG}}}svg":
                wrong.append(f"{file}: is {root.tag}")
            wrong += [f"{file}: {fault}" for fault in faults_later(root)]
            plain.append(Path(folder) / f"{number}.svg")
            document.write(plain[-1], encoding="utf-8", xml_declaration=True)
        run = subprocess.run(
            ["xmllint", "--noout", "--nonet", "--dtdvalid", DTD, *map(str, plain)],
            capture_output=True,
            text=True,
        )
        for line in run.stderr.splitlines():
            number = re.match(rf"{re.escape(folder)}/(\d+)\.svg:\d+: (.*)", line)
            wrong.append(f"{files[int(number[1])]}: {number[2]}" if number else line)
        if run.returncode and not wrong:
            wrong.append(f"xmllint ended with {run.returncode}")
    for line in wrong[:20]:
        print(line[:300])
    print(f"svg_check: {len(files)} files by SVG 1.1, {len(wrong)} faults")
    return 1 if wrong else 0


sys.exit(main())
