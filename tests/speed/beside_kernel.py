#!/usr/bin/env python3
"""Speed of the plates of a body beside another geometry kernel (OCCT, PyPI `cadquery-ocp`), pair by pair.

    bash tests/install
    target/python/bin/python tests/speed/beside_kernel.py [MODEL] [--pairs N] [--threads N] [--fused] [--their-chord MM]

Both make the same plates of one model: build, mesh within 0.02 mm, and write a binary STL and a STEP file of
each plate and one GLB of all. They take turns, and which begins changes from pair to pair. With one thread both
are held on one core. `docs/performance.md` says what is compared and what the figures were.

Rivets are one with their plates here. The other kernel places them as solids of their own, which costs it next to
nothing, or with `--fused` unites them with the plates too.

Exit status 1 if the other kernel did not make the same plates (volume within 1e-3, valid), or if its meshes keep
closer to the true skins than ours.
"""

import argparse
import gc
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import kernel_body as kernel

ROOT = Path(__file__).resolve().parents[2]
CHORD_MM = 0.02
VOLUME_OFF = 1e-3
# Stages of `platework bench --files` that make up each stage compared.
STAGES = {"build": ["read", "build"], "mesh": ["mesh"], "stl": ["stl"], "glb": ["glb"], "step": ["step"]}


def ours(binary, model, folder, threads):
    """Seconds by wall and by processor a stage, and what else the program says."""
    command = [binary, "bench", model, "--files", folder / "ours", "--runs", "1", "--json"]
    told = json.loads(subprocess.check_output(command + ["--threads", str(threads)], cwd=ROOT))
    laps = {own["stage"]: own for own in told["stages"]}
    wall = {stage: sum(laps[own]["wall_ms"] for own in parts) / 1e3 for stage, parts in STAGES.items()}
    cpu = {stage: sum(laps[own]["cpu_ms"] for own in parts) / 1e3 for stage, parts in STAGES.items()}
    return wall, cpu, told


def theirs(plates, folder, args):
    """As `ours`; then what was made."""
    wall, cpu = {}, {}

    def lap(stage, work):
        begun = time.perf_counter(), time.process_time()
        made = work()
        wall[stage] = time.perf_counter() - begun[0]
        cpu[stage] = time.process_time() - begun[1]
        return made

    gc.collect()
    gc.disable()
    made = lap("build", lambda: kernel.build(plates, args.fused))
    lap("mesh", lambda: kernel.mesh(made, args.their_chord, args.threads > 1))
    lap("stl", lambda: kernel.write_stl(plates, made.shown, folder))
    lap("glb", lambda: kernel.write_glb(plates, made.shown, folder / "plates.glb"))
    lap("step", lambda: kernel.write_step(plates, made.solids, folder))
    gc.enable()
    return wall, cpu, made


def same_plates(plates, solids):
    """Names of what is not the same plate, and the worst difference of volume as a fraction."""
    wrong, worst = [], (0.0, "")
    for plate, solid in zip(plates, solids):
        off = kernel.volume(solid) / plate["volume_mm3"] - 1
        worst = max(worst, (abs(off), plate["id"]))
        if not abs(off) <= VOLUME_OFF:
            wrong.append(f"{plate['id']}: volume off by {off:+.1e}")
        if not kernel.is_valid(solid):
            wrong.append(f"{plate['id']}: not valid")
    return wrong, worst


def size_of(folder, ending):
    return sum(file.stat().st_size for file in folder.rglob(f"*.{ending}") if "again" not in file.parts)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("model", nargs="?", default="demo-models/class-b.toml")
    parser.add_argument("--pairs", type=int, default=5)
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument("--fused", action="store_true", help="rivets united with the plates there too")
    parser.add_argument("--their-chord", type=float, default=CHORD_MM, help="chord error asked there (mm)")
    parser.add_argument("--json", type=Path, help="file for the figures")
    args = parser.parse_args()
    build = ["cargo", "build", "--quiet", "-p", "platework", "-p", "platework-examples"]
    subprocess.run(build, cwd=ROOT, check=True)
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug"
    described = subprocess.check_output([target / "plate_dimensions", args.model], cwd=ROOT)
    plates = json.loads(described)["plates"]
    if args.threads == 1 and hasattr(os, "sched_setaffinity"):
        # Programs started from here inherit it.
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    kernel.quieten()

    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        (folder / "theirs").mkdir()

        def turn(which):
            if which == "ours":
                return ours(target / "platework", args.model, folder, args.threads)
            return theirs(plates, folder / "theirs", args)

        # The first run pays for memory and caches; it does not count. Ours does the same by itself.
        turn("theirs")
        runs = {"ours": [], "theirs": []}
        for pair in range(args.pairs):
            order = ("ours", "theirs") if pair % 2 else ("theirs", "ours")
            for which in order:
                runs[which].append(turn(which))
        bytes_ = {
            which: {ending: size_of(folder / which, ending) for ending in ("stl", "glb", "step")} for which in runs
        }

    told = runs["ours"][-1][2]
    made = runs["theirs"][-1][2]
    wrong, (worst, at) = same_plates(plates, made.solids)
    # With rivets fused on, a plate's own skins cannot be told from the heads.
    meshed = [own for own, plate in zip(made.to_mesh(), plates) if not (args.fused and plate["rivets"])]
    their_error = max(map(kernel.chord_error, meshed))
    result = {
        "model": args.model,
        "threads": args.threads,
        "pairs": args.pairs,
        "fused": args.fused,
        "their_chord_mm": args.their_chord,
        "plates": len(plates),
        "rivets": sum(len(plate["rivets"]) for plate in plates),
        "worst_volume": {"plate": at, "relative": worst},
        "left_out": sum(len(plate["left_out"]) for plate in plates),
        "triangles": {"ours": told["triangles"], "theirs": sum(map(kernel.triangles, made.shown))},
        "skin_error_mm": {"ours": told["chord_error_mm"], "theirs": their_error},
        "edge_error_mm": {"theirs": max(map(kernel.edge_error, meshed))},
        "bytes": bytes_,
        "peak_memory_kib": {
            "ours": told["peak_memory_kib"],
            "theirs": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss,
        },
        "stages": {},
    }
    for stage in [*STAGES, "in all"]:
        result["stages"][stage] = {}
        for number, clock in enumerate(("wall", "cpu")):
            taken = {
                which: [sum(run[number].values()) if stage == "in all" else run[number][stage] for run in own]
                for which, own in runs.items()
            }
            ratios = [b / a for a, b in zip(taken["ours"], taken["theirs"])]
            result["stages"][stage][clock] = {
                "ours_s": statistics.median(taken["ours"]),
                "theirs_s": statistics.median(taken["theirs"]),
                "ratio": statistics.median(ratios),
                "ratio_least": min(ratios),
                "ratio_most": max(ratios),
            }
    say(result)
    if args.json:
        args.json.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    if told["chord_error_mm"] > max(their_error, CHORD_MM):
        wrong.append(f"our skins are off by {told['chord_error_mm']:.4f} mm, theirs by {their_error:.4f} mm")
    for line in wrong:
        print(line, file=sys.stderr)
    sys.exit(1 if wrong else 0)


def say(result):
    print(
        f"{result['model']}: {result['plates']} plates, {result['rivets']} rivets; {result['threads']} thread(s), "
        f"medians of {result['pairs']} pairs (s)\n"
        f"OCCT is asked for {result['their_chord_mm']} mm; its rivets are "
        f"{'one with their plates' if result['fused'] else 'solids of their own'}\n"
        "stage     ours wall  OCCT wall  ratio (least, most)       ours CPU   OCCT CPU  ratio (least, most)"
    )
    for stage, clocks in result["stages"].items():
        columns = [
            f"{own['ours_s']:10.3f} {own['theirs_s']:10.3f} {own['ratio']:6.1f} "
            f"({own['ratio_least']:.1f}, {own['ratio_most']:.1f})".ljust(46)
            for own in (clocks["wall"], clocks["cpu"])
        ]
        print(f"{stage:8} {''.join(columns)}".rstrip())
    mib = {which: kib / 1024 for which, kib in result["peak_memory_kib"].items() if kib}
    print(
        f"triangles: ours {result['triangles']['ours']}, OCCT {result['triangles']['theirs']}\n"
        f"skins off by at most: ours {result['skin_error_mm']['ours']:.4f} mm, "
        f"OCCT {result['skin_error_mm']['theirs']:.4f} mm; edges of OCCT {result['edge_error_mm']['theirs']:.4f} mm\n"
        f"worst volume of an OCCT plate: {result['worst_volume']['relative']:.1e} "
        f"({result['worst_volume']['plate']}); {result['left_out']} half-etched places left out there\n"
        f"bytes: {result['bytes']}\n"
        f"peak memory (MiB): {', '.join(f'{which} {own:.0f}' for which, own in mib.items())}"
    )


if __name__ == "__main__":
    main()
