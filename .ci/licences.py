#!/usr/bin/env python3
"""Licences of everything the binary carries, against a list of those that Apache-2.0 can carry.

Reads `cargo metadata` on standard input. Exit status 1 names every package outside the list.
"""
import json
import re
import sys

ALLOWED = {
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    # File-level copyleft: used as it is, unchanged.
    "MPL-2.0",
}


def allowed(expression: str) -> bool:
    """True if some way of reading the expression uses allowed licences only."""
    expression = re.sub(r" (or|and) ", lambda word: word.group().upper(), expression.replace("/", " OR "))
    if expression.startswith("(") and expression.endswith(")") and balanced(expression[1:-1]):
        return allowed(expression[1:-1])
    for word, combine in ((" OR ", any), (" AND ", all)):
        parts = split(expression, word)
        if len(parts) > 1:
            return combine(allowed(part) for part in parts)
    return expression.strip() in ALLOWED


def balanced(text: str) -> bool:
    depth = 0
    for char in text:
        depth += {"(": 1, ")": -1}.get(char, 0)
        if depth < 0:
            return False
    return depth == 0


def split(expression: str, word: str) -> list[str]:
    """Parts of an expression at a word outside brackets."""
    parts, depth, start = [], 0, 0
    for match in re.finditer(r"\(|\)|" + re.escape(word), expression):
        if match.group() == "(":
            depth += 1
        elif match.group() == ")":
            depth -= 1
        elif depth == 0:
            parts.append(expression[start : match.start()])
            start = match.end()
    parts.append(expression[start:])
    return [part.strip() for part in parts]


def main() -> int:
    metadata = json.load(sys.stdin)
    own = set(metadata["workspace_members"])
    bad = [
        f"{package['name']} {package['version']}: {package['license'] or 'no licence named'}"
        for package in metadata["packages"]
        if package["id"] not in own and not allowed(package["license"] or "")
    ]
    for line in bad:
        print(line)
    print(f"{len(metadata['packages']) - len(own)} packages, {len(bad)} outside the list")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
