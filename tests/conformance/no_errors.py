"""Refuses a report with a finding of severity error, on wheels to exact scale.

On other wheels the body may foul them; then the errors are counted and must all be about wheels.
"""

import json
import sys

report = json.load(open(sys.argv[1], encoding="utf-8"))
errors = [f for f in report["findings"] if f["severity"] == "error"]
name = f"{report['title']} for {report['wheels']} wheels"
if report["wheels"] not in ("exact", "p4"):
    errors = [f for f in errors if "wheel" not in f["rule"]]
for finding in errors:
    print(f"{name}: {finding['rule']} at {finding['path']}: {finding['sentence']}")
counts = {
    severity: sum(f["severity"] == severity for f in report["findings"])
    for severity in ("error", "warning", "note")
}
print(f"{name}: {len(report['plates'])} plates, {len(report['joints'])} joints, findings {counts}")
sys.exit(bool(errors))
