"""A server of the project's own over a folder, and requests to it. What the checks of saving share."""

import http.client
import json
import os
import subprocess

BIN = os.environ.get("PLATEWORK_BIN", "target/debug/platework")


class Server:
    """`platework serve` over a folder on a free port."""

    def __init__(self, folder, log=None):
        args = [BIN, "serve", str(folder), "--listen", "127.0.0.1:0", "--json"]
        self.process = subprocess.Popen(args, stdout=subprocess.PIPE, stderr=log or subprocess.DEVNULL)
        line = self.process.stdout.readline()
        text = line.decode()
        while text.count("{") > text.count("}") or not text.strip():
            line = self.process.stdout.readline()
            if not line:
                raise SystemExit(f"the server did not start: {text!r}")
            text += line.decode()
        self.port = int(json.loads(text)["address"].rstrip("/").rsplit(":", 1)[1])

    def kill(self):
        """Ends it as a power cut would: it can do nothing any more."""
        self.process.kill()
        self.process.wait()

    def end(self):
        self.process.terminate()
        self.process.wait()


def ask(port, method, path, body=None, headers=None):
    """Status, headers and body of an answer."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        line.request(method, path, body, headers or {})
        answer = line.getresponse()
        return answer.status, answer.headers, answer.read()
    finally:
        line.close()


def put(port, model, text, tag):
    """A write that replaces what has the tag."""
    return ask(port, "PUT", f"/v1/models/{model}", text, {"If-Match": tag, "Content-Type": "text/plain"})
