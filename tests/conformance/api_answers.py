"""Asks for one of everything and holds each answer, to the last key, against the description of the interface.

usage: api_answers.py URL openapi.json

The generator of requests accepts keys that the description does not name; here they are refused. Also read here is the
stream of events, which has no end."""

import copy
import json
import struct
import sys
import threading
import time
import urllib.error
import urllib.request

from jsonschema import Draft202012Validator

url, description = sys.argv[1], json.load(open(sys.argv[2]))


def refs_in_all_of(node, found):
    if isinstance(node, dict):
        for part in node.get("allOf", []):
            if "$ref" in part:
                found.add(part["$ref"].rsplit("/", 1)[1])
        for own in node.values():
            refs_in_all_of(own, found)
    elif isinstance(node, list):
        for own in node:
            refs_in_all_of(own, found)
    return found


def closed(api):
    """The description with no other keys than those named. What is part of a larger object stays open there."""
    api = copy.deepcopy(api)
    schemas = api["components"]["schemas"]
    for name in refs_in_all_of(api, set()):
        schemas[name + "-open"] = copy.deepcopy(schemas[name])
    for name, schema in schemas.items():
        for node in [schema, *schema.get("oneOf", [])]:
            for part in node.get("allOf", []):
                if "$ref" in part:
                    part["$ref"] += "-open"
            if not name.endswith("-open") and ("properties" in node or "allOf" in node):
                node["unevaluatedProperties"] = False
    return api


api = closed(description)
trouble, count = [], 0


def hold(what, value, schema):
    whole = {**schema, "components": api["components"]}
    for error in list(Draft202012Validator(whole).iter_errors(value))[:3]:
        trouble.append(f"{what}: at {error.json_path}: {error.message[:300]}")


def ask(method, template, names=(), query="", body=None, headers=()):
    """One request; its answer is held against the operation of its template."""
    global count
    count += 1
    path = template
    for name, value in dict(names).items():
        path = path.replace("{" + name + "}", value)
    request = urllib.request.Request(url + path + query, data=body, method=method, headers=dict(headers))
    for _ in range(4):
        try:
            answer = urllib.request.urlopen(request)
        except urllib.error.HTTPError as error:
            answer = error
        if answer.status != 503:
            break
        time.sleep(int(answer.headers["Retry-After"]))
    data, what = answer.read(), f"{method} {path}{query} -> {answer.status}"
    own = api["paths"][template][method.lower()]["responses"].get(str(answer.status))
    if own is None:
        trouble.append(f"{what}: a status that is not described")
        return answer.status, answer.headers, data
    if "$ref" in own:
        own = api["components"]["responses"][own["$ref"].rsplit("/", 1)[1]]
    for name in ("ETag", "Cache-Control"):
        if name in own.get("headers", {}) and name not in answer.headers:
            trouble.append(f"{what}: without {name}")
    media = (answer.headers.get("Content-Type") or "").split(";")[0]
    content = own.get("content", {})
    if data and media not in content and template.rsplit("/", 1)[1] != "{file}":
        trouble.append(f"{what}: {media} is not described")
    elif media in content and media.endswith("json"):
        hold(what, json.loads(data), content[media].get("schema", {}))
    return answer.status, answer.headers, data


def expect(status, got, what):
    if got != status:
        trouble.append(f"{what}: {got} and not {status}")


M = "/v1/models/{model}"
for template in ("/", "/health", "/metrics", "/openapi.json", "/v1/models"):
    expect(200, ask("GET", template)[0], template)
for model in ("class-b", "class-e", "class-m", "class-m2", "class-s", "tender-t"):
    named = {"model": model}
    for rest in ("", "/plates", "/findings", "/joints", "/order", "/dimensions", "/build", "/sheets", "/difference"):
        status, headers, _ = ask("GET", M + rest, named)
        expect(200, status, model + rest)
        if "ETag" in headers:
            known = {"If-None-Match": headers["ETag"]}
            expect(304, ask("GET", M + rest, named, headers=known)[0], model + rest)
    plates = json.loads(ask("GET", M + "/plates", named)[2])["plates"]
    for plate in plates[:: max(1, len(plates) // 3)]:
        for rest in ("features", "flat.json", "flat.svg", "flat.dxf", "formed.glb", "formed.stl"):
            expect(200, ask("GET", M + "/plates/{id}/" + rest, {**named, "id": plate["id"]})[0], plate["id"] + rest)
        ask("GET", M + "/plates/{id}/solid.step", {**named, "id": plate["id"]})

b = {"model": "class-b"}
expect(200, ask("GET", M + "/preview.glb", b)[0], "preview")
expect(200, ask("GET", M + "/preview.glb", b, "?parts=footplate,boiler-wrapper&still=on&rivets=off")[0], "parts")
expect(200, ask("GET", M + "/jigs", b)[0], "jigs")
expect(200, ask("GET", M + "/build", b, "?group=fret")[0], "fret")
for query in ("", "?radius=1800&least=on", "?tender=tender-t&reverse=100", "?crossover=8", "?transition=300"):
    engine = {"model": "class-e" if "tender" in query else "class-b"}
    ask("GET", M + "/clearances", engine, query)
expect(200, ask("GET", M + "/difference", b, "?from=class-m")[0], "difference")

models = {name: urllib.request.urlopen(f"{url}/v1/models/{name}").read() for name in ("class-b", "class-m")}
text = {"Content-Type": "text/plain"}
other = models["class-b"].replace(b"Class B", b"Class C")
status, _, data = ask("POST", M + "/drafts", b, body=other, headers=text)
expect(200, status, "drafts")
draft = json.loads(data)["draft"]
for rest in ("/findings", "/clearances", "/plates"):
    expect(200, ask("GET", M + rest, b, "?draft=" + draft)[0], "draft" + rest)
expect(200, ask("POST", M + "/drafts", b, body=b"title = 1\nnone = 2\n", headers=text)[0], "broken draft")
expect(200, ask("POST", M + "/difference", b, body=other, headers=text)[0], "difference of a text")

for name in ("sound", "three-faults"):
    drawing = open(f"demo-models/artwork/class-b-{name}.dxf", "rb").read()
    for rest in ("", "/report.html", "/as-drawn.glb"):
        dxf = {"Content-Type": "image/vnd.dxf"}
        expect(200, ask("POST", M + "/artwork-check" + rest, b, body=drawing, headers=dxf)[0], name + rest)
readings = b"id,reading,reading_2\nroof-height,85.15,85.18\nover-beams,225.2,225.3\n"
for rest in ("", "/sheet.pdf"):
    expect(200, ask("POST", M + "/built-check" + rest, b, body=readings, headers={"Content-Type": "text/csv"})[0], "built")
# Places on the formed body itself are a scan without errors.
plates = json.loads(ask("GET", M + "/plates", b)[2])["plates"]
places = []
for plate in plates:
    stl = ask("GET", M + "/plates/{id}/formed.stl", {**b, "id": plate["id"]}, "?rivets=off")[2]
    # A binary STL: 84 bytes of head, then 50 bytes a triangle, the corners after its normal.
    for at in range(84 + 12, len(stl), 50):
        x = struct.unpack_from("<9f", stl, at)
        places.append([(x[k] + x[k + 3] + x[k + 6]) / 3 for k in range(3)])
places = places[:: max(1, len(places) // 20000)]
head = f"ply\nformat ascii 1.0\nelement vertex {len(places)}\nproperty float x\nproperty float y\nproperty float z\nend_header\n"
scan = head + "".join(f"{x:.4f} {y:.4f} {z:.4f}\n" for x, y, z in places)
expect(200, ask("POST", M + "/built-check", b, body=scan.encode(), headers={"Content-Type": "model/ply"})[0], "scan")

# Every error that can be had without a fault of the server's own.
tag = ask("GET", M, b)[1]["ETag"]
for status, request in [
    (400, ("GET", M + "/plates", b, "?scale=9mm")),
    (404, ("GET", M + "/plates/{id}/flat.svg", {**b, "id": "boiler-wraper"})),
    (404, ("GET", M + "/plates", b, "?draft=" + "0" * 64)),
    (422, ("GET", M + "/plates", b, "?variant=none")),
    (403, ("PUT", M, b, "", other, {**text, "Origin": "http://elsewhere.invalid"})),
    (412, ("PUT", M, b, "", other, {**text, "If-Match": '"old"'})),
    (413, ("PUT", M, b, "", b"#" * 1048577, {**text, "If-Match": "*"})),
    (415, ("PUT", M, b, "", other, {"Content-Type": "image/png", "If-Match": "*"})),
    (415, ("PUT", M, b, "", other, {**text, "Content-Encoding": "gzip", "If-Match": "*"})),
    (421, ("GET", M, b, "", None, {"Host": "elsewhere.invalid"})),
    (422, ("PUT", M, b, "", b"title = ", {**text, "If-Match": "*"})),
    (428, ("PUT", M, b, "", other, text)),
    (422, ("POST", M + "/artwork-check", b, "", b"0", {"Content-Type": "image/vnd.dxf"})),
    (422, ("POST", M + "/built-check", b, "", b"0", {"Content-Type": "text/csv"})),
    (422, ("POST", M + "/built-check", b, "", b"0", {"Content-Type": "model/ply"})),
]:
    expect(status, ask(*request)[0], " ".join(map(str, request[:4])))

# A listener is told of a write.
heard = []
stream = urllib.request.urlopen(url + "/v1/events")
kind = stream.headers["Content-Type"]
if kind not in api["paths"]["/v1/events"]["get"]["responses"]["200"]["content"]:
    trouble.append(f"events: {kind} is not described")


def listen():
    event = None
    for line in stream:
        word, _, rest = line.decode().rstrip("\n").partition(": ")
        if word == "event":
            event = rest
        elif word == "data":
            heard.append((event, json.loads(rest)))
            return


listener = threading.Thread(target=listen, daemon=True)
listener.start()
expect(204, ask("PUT", M, b, "", other, {**text, "If-Match": tag})[0], "write")
listener.join(30)
if not heard:
    trouble.append("events: nothing heard of a write")
for event, data in heard:
    if event not in ("rebuilt", "failed"):
        trouble.append(f"events: {event} is not described")
    hold("event", data, {"$ref": f"#/components/schemas/{event.capitalize()}Event"})
ask("PUT", M, b, "", models["class-b"], {**text, "If-Match": "*"})

for line in trouble:
    print(line)
print(f"{count} answers held against the description, {len(trouble)} troubles")
sys.exit(bool(trouble))
