"""Two servers over one folder, behind one reverse proxy, all on this machine: is it one server to whoever asks?

The proxy is nginx (Debian: nginx-light), the configuration that of docs/serving.md. Compared are bytes and ETag of the same
routes from each server and through the proxy; then a file is written through one, and the other has to know: of the new ETag,
of the new bytes, and by its stream of events. A page behind the proxy may write, one of another site may not."""

import json
import os
import pathlib
import re
import shutil
import socket
import subprocess
import tempfile
import threading
import time

from served import BIN, ask, put

NGINX = shutil.which("nginx") or "/usr/sbin/nginx"
MODELS = "/v1/models/class-b"


def free_port():
    with socket.socket() as own:
        own.bind(("127.0.0.1", 0))
        return own.getsockname()[1]


def until(what, is_so):
    for _ in range(300):
        if is_so():
            return
        time.sleep(0.1)
    raise SystemExit(f"in vain waited for: {what}")


def get(host, port, path, host_name=None):
    """Status, headers and body from one of the servers, or through the proxy."""
    import http.client

    line = http.client.HTTPConnection(host, port, timeout=60)
    line.request("GET", path, headers={"Host": host_name} if host_name else {})
    answer = line.getresponse()
    return answer.status, answer.headers, answer.read()


class Listener(threading.Thread):
    """Reads a stream of events until something is told of class B."""

    def __init__(self, name, host, port, host_name=None):
        super().__init__(daemon=True)
        self.name, self.heard, self.open = name, None, threading.Event()
        self.asked = (host, port, host_name)
        self.start()

    def run(self):
        host, port, host_name = self.asked
        import http.client

        line = http.client.HTTPConnection(host, port, timeout=60)
        line.request("GET", "/v1/events", headers={"Host": host_name} if host_name else {})
        stream, event = line.getresponse(), None
        self.open.set()
        for text in stream:
            word, _, rest = text.decode().rstrip("\n").partition(": ")
            if word == "event":
                event = rest
            elif word == "data" and json.loads(rest)["model"] == "class-b":
                self.heard = event
                return


def configured(work, inner, outer):
    """The configuration in docs/serving.md, with ports and files of this run."""
    page = pathlib.Path("docs/serving.md").read_text()
    text = re.search(r"```nginx\n(.*?)```", page, re.S).group(1)
    text = text.replace("8730", str(inner)).replace("listen 8080", f"listen 127.0.0.1:{outer}")
    text = text.replace("workshop.example:8080", f"127.0.0.1:{outer}")
    kept = "".join(f"{kind}_temp_path {work}/{kind};\n" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi"))
    file = work / "nginx.conf"
    file.write_text(
        f"daemon off;\npid {work}/pid;\nerror_log {work}/error.log;\nworker_processes 1;\nevents {{}}\nhttp {{\naccess_log off;\n{kept}{text}}}\n"
    )
    return file


work = pathlib.Path(tempfile.mkdtemp())
# Started by root, nginx works as another user, who keeps long answers in files here.
work.chmod(0o755)
models = work / "models"
shutil.copytree("demo-models", models)
inner, outer = free_port(), free_port()
running = []
try:
    # Both at the same port of two loopback addresses, so that both are called localhost with that port.
    for host in ("127.0.0.1", "127.0.0.2"):
        args = [BIN, "serve", str(models), "--listen", f"{host}:{inner}"]
        running.append(subprocess.Popen(args, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
    running.append(subprocess.Popen([NGINX, "-p", str(work), "-c", str(configured(work, inner, outer))]))

    def up(host, port):
        try:
            return get(host, port, "/health")[0] == 200
        except OSError:
            return False

    places = [("127.0.0.1", inner), ("127.0.0.2", inner), ("127.0.0.1", outer)]
    for place in places:
        until(f"http://{place[0]}:{place[1]}", lambda place=place: up(*place))

    plates = json.loads(get(*places[0], MODELS + "/plates")[2])["plates"]
    paths = ["/", "/openapi.json", "/v1/models", MODELS]
    rests = ["preview.glb", "preview.glb?rivets=off", "plates", "findings", "joints", "order", "dimensions", "difference", "sheets",
             "jigs", "clearances", "clearances/plan.svg", "clearances/run.glb", "sheets/parts.pdf", "sheets/parts.csv",
             "build/flats/footplate.dxf", "build/body/report.json", "preview.glb?scale=4mm&wheels=em"]  # fmt: skip
    paths += [f"{MODELS}/{rest}" for rest in rests]
    for plate in plates:
        paths += [f"{MODELS}/plates/{plate['id']}/{file}" for file in ("flat.svg", "flat.dxf", "flat.json", "formed.stl")]
    size, tagged = 0, 0
    for path in paths:
        # Through the proxy twice, so that both servers answer.
        answers = [get(*place, path) for place in [*places, places[2]]]
        seen = {(status, headers["ETag"], body) for status, headers, body in answers}
        if len(seen) != 1 or answers[0][0] not in (200, 404):
            raise SystemExit(f"{path}: {[(own[0], own[1]['ETag'], len(own[2])) for own in answers]}")
        size += len(answers[0][2])
        tagged += answers[0][1]["ETag"] is not None
    print(f"{len(paths)} routes ({tagged} tagged, {size} bytes): the same bytes and ETag from both servers and through the proxy")

    listeners = [Listener(name, *place) for name, place in zip(("first", "second", "proxy"), places)]
    for own in listeners:
        own.open.wait(10)
    before = {path: get(*places[1], path)[1]["ETag"] for path in (MODELS, MODELS + "/preview.glb")}
    text = get(*places[0], MODELS)[2].replace(b"Class B", b"Class C")
    status, headers, _ = put(inner, "class-b", text, before[MODELS])
    assert status == 204, status
    for name, place in (("second", places[1]), ("proxy", places[2])):
        for path in before:
            tag = get(*place, path)[1]["ETag"]
            assert tag != before[path], f"{name}: the tag of {path} is the old one"
        assert get(*place, MODELS)[1]["ETag"] == headers["ETag"]
    one, other = (get(*place, MODELS + "/preview.glb")[2] for place in places[:2])
    assert one == other
    status = put(outer, "class-b", text, before[MODELS])[0]
    assert status == 412, status
    until("events", lambda: all(own.heard for own in listeners))
    print(f"a write through one: new ETag and bytes from the other, the old ETag refused (412); events: {[(own.name, own.heard) for own in listeners]}")

    for origin, expected in ((f"http://127.0.0.1:{outer}", 204), ("http://elsewhere.invalid", 403)):
        sent = {"If-Match": "*", "Content-Type": "text/plain", "Origin": origin}
        status = ask(outer, "PUT", MODELS, text, sent)[0]
        assert status == expected, (origin, status)
    print("through the proxy: a write by a page of its own 204, by one of another site 403")

    status, _, body = ask(inner, "POST", MODELS + "/drafts", text + b"# draft\n", {"Content-Type": "text/plain"})
    draft = json.loads(body)["draft"]
    statuses = [get(*place, f"{MODELS}/plates?draft={draft}")[0] for place in places[:2]]
    assert statuses == [200, 404], statuses
    print("a draft is known to the server that it was sent to, and 404 with /problems/draft at the other")
finally:
    for own in running:
        own.terminate()
    for own in running:
        own.wait()
    shutil.rmtree(work)
