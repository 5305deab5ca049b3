"""The JSON Schema of the machine file, made from the same declarations that the reader reads with."""

from typing import Any

from steadyhead.machine.description import Machine
from steadyhead.machine.keys import SHARED

DIALECT = "https://json-schema.org/draft/2020-12/schema"
ABOUT = (
    "Tables, keys, units and signs of a machine file. Ranges of quantities, and what two keys say together "
    "(a pinion larger than its gear), only the reader knows."
)


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of the machine file."""
    schema = Machine.model_json_schema(by_alias=True)
    shared: dict[str, Any] = {}
    plain: dict[str, Any] = _hoisted(schema, shared)
    plain["$defs"] |= dict(sorted(shared.items()))
    return {"$schema": DIALECT} | plain | {"title": "steadyhead machine file", "description": ABOUT}


def _hoisted(node: Any, shared: dict[str, Any]) -> Any:
    """Return the schema with equal quantities described once, and without defaults that TOML cannot say."""
    if isinstance(node, list):
        return [_hoisted(item, shared) for item in node]
    if not isinstance(node, dict):
        return node
    if SHARED in node:
        name = node[SHARED]
        shared[name] = _hoisted(node["schema"], shared)
        return {"description": node["description"], "$ref": f"#/$defs/{name}"}
    return {
        key: _hoisted(item, shared)
        for key, item in node.items()
        if not (key == "default" and item is None) and not (key == "title" and isinstance(item, str))
    }
