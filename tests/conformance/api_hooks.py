"""Requests that are made up name nothing that there is. Where one is sound they are given names and files of the demo
models, so that what is behind the routes is asked too. What was made wrong on purpose stays wrong."""

import glob
import itertools
import os

import schemathesis
from schemathesis.core.parameters import ParameterLocation

MODELS = os.environ["PLATEWORK_MODELS"]
PATHS = {
    "model": ["class-b", "class-m", "class-e", "tender-t", "none-such"],
    "id": ["boiler-wrapper", "footplate", "none-such"],
    "group": ["flats", "formed", "none-such"],
}
# Files by what their address ends with.
FILES = {
    "jigs/{file}": ["boiler-former.stl", "none-such.3mf"],
    "sheets/{file}": ["parts.pdf", "parts.csv", "measuring.pdf", "none-such.pdf"],
    "build/{group}/{file}": ["boiler-wrapper.dxf", "boiler-wrapper.stl", "footplate.svg", "none-such.dxf"],
    "clearances/{file}": ["plan.svg", "run.glb"],
}
turn = itertools.count()


def one_of(own):
    return own[next(turn) % len(own)]


def read(*name):
    with open(os.path.join(MODELS, *name), "rb") as file:
        return file.read()


TEXTS = [read(os.path.basename(path)) for path in sorted(glob.glob(MODELS + "/*.toml"))]
DRAWINGS = [read("artwork", "class-b-sound.dxf"), read("artwork", "class-b-three-faults.dxf")]
READINGS = [b"id,reading,reading_2\nroof-height,85.15,85.18\n", b"[readings]\nroof-height = [85.9, 85.95]\n"]


def is_sound(case, place):
    return case.meta is None or not (case.meta.generation.mode.is_negative or case.meta.is_negative_at(place))


@schemathesis.hook
def before_call(context, case, kwargs):
    path = case.operation.path
    if case.path_parameters and (case.meta is None or not case.meta.is_negative_at(ParameterLocation.PATH)):
        for name in case.path_parameters:
            if name in PATHS:
                case.path_parameters[name] = one_of(PATHS[name])
            elif name == "file":
                case.path_parameters[name] = one_of(next(own for end, own in FILES.items() if path.endswith(end)))
    if case.query and is_sound(case, ParameterLocation.QUERY):
        # A draft, a variant or a set of parts that there is not is asked for now and then; always, all else would be in vain.
        for name in ("draft", "variant", "from_variant", "parts"):
            if name in case.query and next(turn) % 4:
                del case.query[name]
        for name in ("tender", "from"):
            if name in case.query:
                case.query[name] = one_of(["tender-t", "class-b", "none-such"])
    if case.method.upper() in ("PUT", "POST") and is_sound(case, ParameterLocation.BODY) and next(turn) % 4:
        media = (case.media_type or "").split(";")[0]
        if path.endswith("/v1/models/{model}") or path.endswith("/drafts") or path.endswith("/difference"):
            case.body = one_of(TEXTS)
        elif "artwork-check" in path and media != "image/svg+xml":
            case.body = one_of(DRAWINGS)
        elif "built-check" in path and not media.startswith(("model/", "application/sla", "application/ply", "application/object")):
            own = READINGS[1] if media == "application/toml" else READINGS[0]
            # What the description calls a text must be one, or the generator takes it for a wrong body.
            case.body = own if media == "application/octet-stream" else own.decode()
