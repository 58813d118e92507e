#!/usr/bin/env python3
"""Two reports must be equal but for their timings."""
import json
import sys


def facts(path: str) -> dict:
    with open(path, encoding="utf-8") as file:
        report = json.load(file)
    report.pop("timings_ms")
    return report


one, two = (facts(path) for path in sys.argv[1:3])
if one != two:
    for key in sorted(set(one) | set(two)):
        if one.get(key) != two.get(key):
            print(f"reports differ in {key}")
    sys.exit(1)
print("reports are equal")
