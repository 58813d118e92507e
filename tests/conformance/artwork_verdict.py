#!/usr/bin/env python3
"""Two drawings of class B: the sound one has no finding that counts, the other just its three faults.

    python3 tests/conformance/artwork_verdict.py PLATEWORK
"""
import json
import subprocess
import sys

FAULTS = {
    ("boiler-wrapper", "developed-on-outside"),
    ("firebox-wrapper", "drawn-as-trapezium"),
    ("smokebox-wrapper", "placed-on-plan-length"),
}


def verdict(program: str, drawing: str) -> tuple[int, set[tuple[str, str]]]:
    """Exit status, and plate and rule of every finding about the drawing that counts."""
    run = subprocess.run(
        [program, "check", "demo-models/class-b.toml", "--json"]
        + ["--artwork", f"demo-models/artwork/{drawing}.dxf"],
        capture_output=True,
        check=False,
    )
    found = json.loads(run.stdout)["artwork"]["findings"]
    counting = [one for one in found if one["severity"] in ("error", "warning")]
    return run.returncode, {(one["path"].split("/")[0], one["rule"]) for one in counting}


def main() -> int:
    failed = False
    for drawing, want in (("class-b-sound", set()), ("class-b-three-faults", FAULTS)):
        status, got = verdict(sys.argv[1], drawing)
        right = got == want and status == (1 if want else 0)
        failed |= not right
        print(f"{'ok    ' if right else 'FAILED'} {drawing}: exit {status}, {sorted(got)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
