"""Nothing that was saved is lost, whatever happens to the server.

usage: nothing_lost.py [--kills 30] [--rounds 50] [--seed 1]

kills     three clients save to one model as fast as they can, and the server is killed (SIGKILL) at a moment drawn at
          random; then the file must be, byte for byte, one of the texts sent, every save that was acknowledged must be
          it or one that it was built upon, and the next start must leave no scraps. That often.
full      the folder is on a disk without room: the save is refused in clear words, and the file is as it was.
rounds    two servers over one folder are sent two saves at once that replace the same text: one wins, the other is
          told. That often.

The order of saves is known from outside: each names in If-Match the text that it replaces, and every text is sent once."""

import argparse
import errno
import hashlib
import json
import os
import pathlib
import random
import shutil
import subprocess
import tempfile
import threading
import time

from served import Server, ask, put

MODEL = "class-b"
SOURCE = pathlib.Path("demo-models/class-b.toml").read_bytes()
# Two versions of which one is a good deal longer, so that a mixture of both would show.
VERSIONS = [SOURCE, SOURCE.replace(b"Class B", b"Class C") + b"# " + b"x" * 60000 + b"\n"]


def tag_of(text):
    return '"' + hashlib.sha256(text).hexdigest() + '"'


def scraps(folder):
    return [own for own in os.listdir(folder) if own not in (MODEL + ".toml", ".platework.lock")]


class Saves:
    """Every text that was sent, by its tag, with the tag of what it replaced; and what was acknowledged."""

    def __init__(self, start):
        self.sent = {tag_of(start): None}
        self.acknowledged = [tag_of(start)]
        self.count = 0
        self.lock = threading.Lock()

    def next(self, parent):
        with self.lock:
            self.count += 1
            text = VERSIONS[self.count % 2] + b"# save %d\n" % self.count
            self.sent[tag_of(text)] = parent
            return text

    def ancestors(self, tag):
        while tag is not None:
            yield tag
            tag = self.sent[tag]


def client(port, saves, over):
    tag = None
    while not over.is_set():
        try:
            if tag is None:
                tag = ask(port, "GET", f"/v1/models/{MODEL}")[1]["ETag"]
            text = saves.next(tag)
            status, headers, body = put(port, MODEL, text, tag)
        except OSError:
            return
        except Exception as error:  # An answer that broke off in its middle.
            if over.is_set() or "http.client" in type(error).__module__:
                return
            raise
        if status == 204:
            assert headers["ETag"] == tag_of(text), "the tag is that of the text"
            with saves.lock:
                saves.acknowledged.append(tag_of(text))
            tag = headers["ETag"]
        elif status in (412, 503):
            tag = None
        else:
            raise SystemExit(f"a save was answered {status}: {body[:300]}")


def killed(times, chance):
    folder = pathlib.Path(tempfile.mkdtemp())
    file = folder / (MODEL + ".toml")
    file.write_bytes(SOURCE)
    saves, torn, unacknowledged, left, begun = Saves(SOURCE), 0, 0, 0, time.time()
    for number in range(times):
        server = Server(folder)
        if scraps(folder):
            raise SystemExit(f"round {number}: the start left {scraps(folder)}")
        over = threading.Event()
        clients = [threading.Thread(target=client, args=(server.port, saves, over)) for _ in range(3)]
        for own in clients:
            own.start()
        time.sleep(chance.uniform(0.02, 0.5))
        over.set()
        server.kill()
        for own in clients:
            own.join()
        left += len(scraps(folder))
        text = file.read_bytes()
        if tag_of(text) not in saves.sent:
            raise SystemExit(f"round {number}: the file ({len(text)} bytes) is none of the texts sent")
        line = set(saves.ancestors(tag_of(text)))
        lost = [own for own in saves.acknowledged if own not in line]
        if lost:
            raise SystemExit(f"round {number}: {len(lost)} acknowledged saves are lost: {lost[:3]}")
        if tag_of(text) not in saves.acknowledged:
            unacknowledged += 1
        # What has been found in the line of the file stays in it: from here on the file alone stands for it.
        saves.acknowledged = [tag_of(text)]
    server = Server(folder)
    rest = scraps(folder)
    server.end()
    shutil.rmtree(folder)
    if rest:
        raise SystemExit(f"the last start left {rest}")
    print(
        f"kills: {times} kills among {saves.count} saves, none lost, none torn; {unacknowledged} times the file held a save "
        f"that nobody had been told of yet; {left} scraps were left by kills and removed at the next start; {time.time() - begun:.0f} s"
    )


def full_disk():
    folder = pathlib.Path(tempfile.mkdtemp())
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)]
    if subprocess.run(mount, capture_output=True).returncode:
        print("full: not checked, since no disk could be mounted (root can)")
        folder.rmdir()
        return
    try:
        file = folder / (MODEL + ".toml")
        file.write_bytes(SOURCE)
        server = Server(folder)
        filler = os.open(folder / "filler", os.O_WRONLY | os.O_CREAT)
        try:
            while os.write(filler, b"0" * 4096):
                pass
        except OSError as error:
            assert error.errno == errno.ENOSPC, error
        os.close(filler)
        for text in VERSIONS[1], SOURCE + b"# small\n":
            status, headers, body = put(server.port, MODEL, text, tag_of(SOURCE))
            problem = json.loads(body)
            assert status == 507 and problem["type"] == "/problems/full", (status, body)
            assert headers["Content-Type"] == "application/problem+json"
            assert file.read_bytes() == SOURCE, "the file is as it was"
            assert sorted(os.listdir(folder)) == [".platework.lock", MODEL + ".toml", "filler"], os.listdir(folder)
        (folder / "filler").unlink()
        status = put(server.port, MODEL, SOURCE + b"# small\n", tag_of(SOURCE))[0]
        assert status == 204, status
        server.end()
    finally:
        subprocess.run(["umount", str(folder)], check=True)
        folder.rmdir()
    print(f"full: 507 {problem['detail']!r}; the file as it was, nothing left; with room again 204")


def raced(rounds):
    folder = pathlib.Path(tempfile.mkdtemp())
    file = folder / (MODEL + ".toml")
    file.write_bytes(SOURCE)
    servers, wins, begun = [Server(folder), Server(folder)], [0, 0], time.time()
    for number in range(rounds):
        tag = tag_of(file.read_bytes())
        texts = [SOURCE + b"# round %d, server %d\n" % (number, k) for k in (0, 1)]
        together, statuses = threading.Barrier(2), [None, None]

        def save(k):
            together.wait()
            statuses[k] = put(servers[k].port, MODEL, texts[k], tag)[0]

        both = [threading.Thread(target=save, args=(k,)) for k in (0, 1)]
        for own in both:
            own.start()
        for own in both:
            own.join()
        if sorted(statuses) != [204, 412]:
            raise SystemExit(f"round {number}: two saves upon one text were answered {statuses}")
        winner = statuses.index(204)
        wins[winner] += 1
        if file.read_bytes() != texts[winner]:
            raise SystemExit(f"round {number}: the file is not the winner's")
    for own in servers:
        own.end()
    shutil.rmtree(folder)
    print(f"two servers: {rounds} times two saves upon one text, {wins[0]} won by one and {wins[1]} by the other; {time.time() - begun:.0f} s")


parser = argparse.ArgumentParser()
parser.add_argument("--kills", type=int, default=30)
parser.add_argument("--rounds", type=int, default=50)
parser.add_argument("--seed", type=int, default=1)
args = parser.parse_args()
killed(args.kills, random.Random(args.seed))
full_disk()
raced(args.rounds)
