"""The printed JSON Schemas: valid themselves (draft 2020-12), and saying yes and no to the right files."""

import copy
import tomllib

from jsonschema import Draft202012Validator

from program import run


def check_schemas(ledger, commissions, kits):
    """`commissions` and `kits` are (name, text) of files that the program takes."""
    for kind, files in (("commission", commissions), ("kit", kits)):
        answer = run("schema", kind)
        schema = answer.record()
        ledger.same("schemas: draft 2020-12 is named", schema.get("$schema"), "https://json-schema.org/draft/2020-12/schema", kind)
        try:
            Draft202012Validator.check_schema(schema)
            ledger.holds("schemas: valid by the draft's own schema", True, kind)
        except Exception as fault:  # Any fault of the schema fails the group.
            ledger.holds("schemas: valid by the draft's own schema", False, f"{kind}: {fault}")
        validator = Draft202012Validator(schema)
        for name, text in files:
            faults = [f"{'/'.join(map(str, e.path))}: {e.message[:120]}" for e in validator.iter_errors(tomllib.loads(text))]
            ledger.holds(f"schemas: {kind} files accepted", not faults, f"{name}: {faults}")
        for what, spoilt in _spoilt(kind, tomllib.loads(files[0][1])):
            ledger.holds(f"schemas: spoilt {kind} files refused", not validator.is_valid(spoilt), what)


def _spoilt(kind, record):
    """The same record with one thing wrong, in several ways."""
    ways = {
        "unknown key": lambda r: r.update(colour="red"),
        "title is missing": lambda r: r.pop("title"),
        "title is a number": lambda r: r.update(title=3),
    }
    if kind == "commission":
        ways |= {
            "version 2": lambda r: r.update(camberwright=2),
            "unknown law": lambda r: r["camber"].update(law="spline"),
            "no frets": lambda r: r["scale"].update(frets=0),
            "10,000 frets": lambda r: r["scale"].update(frets=10_000),
            "negative crown": lambda r: r["board"].update(crown_thickness=-1),
            "unknown key in the board": lambda r: r["board"].update(wdith=3),
            "string without a note": lambda r: r["strings"]["set"][0].pop("note"),
        }
    else:
        ways |= {
            "block without a radius": lambda r: r.update(blocks=[{"length": 200}]),
            "negative gauge": lambda r: r.update(gauges=[-3]),
            "abrasive is a number": lambda r: r.update(abrasives=[80]),
        }
    for what, spoil in ways.items():
        made = copy.deepcopy(record)
        spoil(made)
        yield what, made
