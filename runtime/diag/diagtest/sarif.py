"""Validates JSON files against a schema: argv is the schema, then the files."""

import json
import sys

import jsonschema

with open(sys.argv[1], encoding="utf-8") as f:
    schema = json.load(f)
check = jsonschema.validators.validator_for(schema)
check.check_schema(schema)
faults = 0
for name in sys.argv[2:]:
    with open(name, encoding="utf-8") as f:
        log = json.load(f)
    for fault in check(schema).iter_errors(log):
        faults += 1
        print(name, "/".join(map(str, fault.absolute_path)), fault.message)
sys.exit(faults > 0)
