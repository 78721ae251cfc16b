"""The bill of materials: judged by CycloneDX's own JSON Schema, as the project's Python library carries it,
and its licences and package addresses by the libraries for SPDX expressions and for package URLs."""

import json
import subprocess
from pathlib import Path

from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from license_expression import get_spdx_licensing
from packageurl import PackageURL

ROOT = Path(__file__).resolve().parents[2]


def check_bill(ledger, folder):
    """Has the bill written, and hands it to the judges."""
    path = folder / "bill.json"
    command = ["cargo", "run", "--quiet", "--locked", "-p", "house", "--example", "parts", "--", str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    ledger.holds("bill of materials: it is written", done.returncode == 0, done.stderr[-500:])
    if done.returncode != 0:
        return
    text = path.read_text(encoding="utf-8")
    fault = JsonStrictValidator(SchemaVersion.V1_6).validate_str(text)
    ledger.holds("bill of materials: CycloneDX 1.6 by its schema", fault is None, str(fault)[:500])
    spoilt = text.replace('"bomFormat"', '"bomForm"', 1)
    ledger.holds("bill of materials: its judge says no to a spoilt one",
                 JsonStrictValidator(SchemaVersion.V1_6).validate_str(spoilt) is not None, "a key renamed")
    spdx = get_spdx_licensing()
    bill = json.loads(text)
    for component in bill["components"]:
        for licence in component["licenses"]:
            words = licence.get("expression") or licence["license"]["id"]
            told = spdx.validate(words)
            ledger.holds("bill of materials: licences are SPDX's", not told.errors, f"{component['name']}: {told.errors}")
        if "purl" in component:
            address = PackageURL.from_string(component["purl"])
            got = (address.type, address.name, address.version)
            want = ("cargo", component["name"], component["version"])
            ledger.same("bill of materials: package addresses", got, want, component["name"])
