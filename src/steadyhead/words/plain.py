"""Results as plain JSON: the field names of the dataclasses are the keys."""

import dataclasses
import json
import math
from enum import Enum
from typing import Any


def plain(result: object) -> Any:
    """Return `result` as dicts, lists, strings and finite numbers.

    A number that is not finite becomes null: JSON has no word for it, and null is never pass.
    A field whose metadata says `json=False` is left out.
    """
    if isinstance(result, Enum):
        return result.value
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return {
            f.name: plain(getattr(result, f.name)) for f in dataclasses.fields(result) if f.metadata.get("json", True)
        }
    if isinstance(result, dict):
        return {str(key): plain(value) for key, value in result.items()}
    if isinstance(result, str | bool | int) or result is None:
        return result
    if isinstance(result, float):
        return result if math.isfinite(result) else None
    if hasattr(result, "tolist"):
        return plain(result.tolist())
    if isinstance(result, list | tuple):
        return [plain(item) for item in result]
    return str(result)


def json_text(result: object) -> str:
    """Return `result` as indented JSON text."""
    return json.dumps(plain(result), indent=2, ensure_ascii=False, allow_nan=False)
