"""What an edit makes anew, as the server counts it: `python tests/speed/edits.py MODEL.toml KEY=OLD->NEW …`.

Sends the model with one value changed as a draft, asks for the whole preview of it, and prints how many plates and
fittings were the same as before, how many were new, how many were meshed, and how long draft and preview took, from the
edited text to the bytes. The value is that of the first line `KEY = "OLD"` of the key's table. PLATEWORK_BIN names the
program.
"""

import json
import re
import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "reliability"))

from served import Server, ask  # noqa: E402

COUNTS = ['parts_total{state="same"}', 'parts_total{state="new"}', "part_meshes_total"]


def counts(port):
    text = ask(port, "GET", "/metrics")[2].decode()
    return [int(re.search(rf"^platework_{re.escape(name)} (\d+)$", text, re.M)[1]) for name in COUNTS]


def edited(text, edit):
    key, values = edit.split("=", 1)
    old, new = values.split("->", 1)
    table, name = key.rsplit(".", 1)
    found = re.search(rf'^\[{re.escape(table)}\][^\n]*\n(?:(?!\[).*\n)*?{name} = "({re.escape(old)})"', text, re.M)
    if not found:
        sys.exit(f"no {name} = \"{old}\" in [{table}]")
    return text[: found.start(1)] + new + text[found.end(1) :]


def main():
    model, edits = Path(sys.argv[1]), sys.argv[2:]
    text, name = model.read_text(), model.stem
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(model, folder)
        server = Server(folder)
        try:
            path = f"/v1/models/{name}"

            def made(words, sent):
                before, start = counts(server.port), time.perf_counter()
                draft = ""
                if sent is not None:
                    body = {"Content-Type": "text/plain"}
                    answer = json.loads(ask(server.port, "POST", f"{path}/drafts", sent.encode(), body)[2])
                    if answer["problem"]:
                        sys.exit(f"{words}: {answer['problem']['detail']}")
                    draft = f"?draft={answer['draft']}"
                status, _, _ = ask(server.port, "GET", f"{path}/preview.glb{draft}")
                if status != 200:
                    sys.exit(f"{words}: status {status}")
                spent = (time.perf_counter() - start) * 1e3
                found = [now - then for now, then in zip(counts(server.port), before)]
                print("{:<40}{:>8}{:>8}{:>8}{:>9.0f}".format(words, *found, spent))

            print("{:<40}{:>8}{:>8}{:>8}{:>9}".format("edit", "same", "new", "meshed", "ms"))
            made("the model as it is", None)
            for edit in edits:
                made(edit, edited(text, edit))
        finally:
            server.end()


if __name__ == "__main__":
    main()
