"""The JSON Schema of the machine file, made from the same declarations that the reader reads with."""

from typing import Any

from steadyhead.machine.description import Machine

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of the machine file.

    It knows tables, keys, units and signs; ranges of quantities and what two keys say together only the reader knows.
    """
    schema = Machine.model_json_schema(by_alias=True)
    return {"$schema": DIALECT, "title": "steadyhead machine file"} | {k: v for k, v in schema.items() if k != "title"}
