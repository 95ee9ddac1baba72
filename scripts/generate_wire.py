"""Write static/js/wire.js from copyroom.wire: event names and JSDoc types. `--check` only compares."""

from __future__ import annotations

import sys
import types
import typing
from pathlib import Path
from typing import Any

TARGET = Path(__file__).resolve().parent.parent / "static" / "js" / "wire.js"
PLAIN = {int: "number", float: "number", str: "string", bool: "boolean", type(None): "null"}


def js_type(hint: Any) -> str:
    """The JSDoc form of a Python type."""
    origin = typing.get_origin(hint)
    if origin is typing.NotRequired:
        return js_type(typing.get_args(hint)[0])
    if origin is typing.Annotated:
        return js_type(typing.get_args(hint)[0])
    if origin is typing.Literal:
        return "|".join(f'"{value}"' for value in typing.get_args(hint))
    if origin in (typing.Union, types.UnionType):
        return "|".join(js_type(part) for part in typing.get_args(hint))
    if origin is list:
        inner = js_type(typing.get_args(hint)[0])
        return f"({inner})[]" if "|" in inner else f"{inner}[]"
    if typing.is_typeddict(hint):
        return str(hint.__name__)
    return PLAIN[hint]


def typedef(payload: type) -> list[str]:
    """The JSDoc typedef of one TypedDict."""
    hints = typing.get_type_hints(payload, include_extras=True)
    own_doc = payload.__doc__ or ""
    doc = "" if own_doc.startswith("dict(") else " ".join(own_doc.split())
    lines = ["/**", *([f" * {doc}"] if doc else []), f" * @typedef {{Object}} {payload.__name__}"]
    for field, hint in hints.items():
        optional = typing.get_origin(hint) is typing.NotRequired
        name = f"[{field}]" if optional else field
        lines.append(f" * @property {{{js_type(hint)}}} {name}")
    return [*lines, " */", ""]


def table(name: str, rows: dict[str, str], doc: str) -> list[str]:
    """A frozen object of event names, and a typedef from event name to payload."""
    fields = [f" * @property {{{payload}}} {event}" for event, payload in rows.items()]
    return [
        "/**",
        f" * {doc}",
        f" * @typedef {{Object}} {name}",
        *fields,
        " */",
        "",
    ]


def generate() -> str:
    """The text of wire.js."""
    from copyroom import wire
    from copyroom.wire import lesson, to_browser, to_server

    payloads = [
        value
        for module in (to_server, lesson, to_browser)
        for value in vars(module).values()
        if typing.is_typeddict(value) and value.__module__ == module.__name__
    ]
    lines = [
        "// Generated from server/copyroom/wire by scripts/generate_wire.py. Do not edit.",
        "",
        *(line for payload in payloads for line in typedef(payload)),
    ]
    outgoing = {name: payload.__name__ for name, (payload, _) in wire.TO_SERVER.items()}
    incoming = {name: payload.__name__ for name, payload in wire.TO_BROWSER.items()}
    lines += table("ToServer", outgoing, "What a browser may send, by event name.")
    lines += table("ToBrowser", incoming, "What a browser may be told, by event name.")
    for name, rows in (("TO_SERVER", outgoing), ("TO_BROWSER", incoming)):
        names = "".join(f'  "{event}",\n' for event in rows)
        lines += [f"export const {name} = Object.freeze([\n{names}]);", ""]
    return "\n".join(lines)


def main() -> int:
    """Write or check; the exit code is 1 when a check fails."""
    text = generate()
    if "--check" not in sys.argv:
        TARGET.write_text(text, "utf-8")
        return 0
    if TARGET.is_file() and TARGET.read_text("utf-8") == text:
        return 0
    print("static/js/wire.js is stale: run scripts/generate_wire.py", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
