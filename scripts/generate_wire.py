"""Write what the browser knows of the wire: names and types of events and messages.

static/js/wire.js has the names, static/js/wire.d.ts the types that `send` and `on` are typed by. What a
kind of exercise offers to choose from is a file beside its own. `--check` only compares.
"""

from __future__ import annotations

import dataclasses
import json
import sys
import types
import typing
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parent.parent / "static" / "js"
HEAD = (
    "// Generated out of the declarations in server/copyroom/room by scripts/generate_wire.py. Do not edit."
)
PLAIN = {Any: "unknown", int: "number", float: "number", str: "string", bool: "boolean", type(None): "null"}


def ts_type(hint: Any) -> str:
    """The TypeScript form of a Python type."""
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Annotated, typing.NotRequired):
        return ts_type(arguments[0])
    if origin is typing.Literal:
        return " | ".join(f'"{value}"' for value in arguments)
    if origin in (typing.Union, types.UnionType):
        return " | ".join(ts_type(part) for part in arguments if not is_unset(part))
    if origin is dict:
        return f"Record<{ts_type(arguments[0])}, {ts_type(arguments[1])}>"
    if origin in (list, Sequence) or (origin is tuple and arguments[-1] is Ellipsis):
        inner = ts_type(arguments[0])
        return f"({inner})[]" if "|" in inner else f"{inner}[]"
    if origin is tuple:
        return f"[{', '.join(map(ts_type, arguments))}]"
    if is_record(hint):
        return str(hint.__name__)
    return PLAIN[hint]


def is_unset(hint: Any) -> bool:
    """Whether a field of this type may be withheld."""
    return getattr(hint, "__name__", "") == "UnsetType"


def is_record(hint: Any) -> bool:
    """Whether a type has fields of its own."""
    return typing.is_typeddict(hint) or hasattr(hint, "__struct_fields__")


def fields_of(record: Any) -> Iterator[tuple[str, Any, bool]]:
    """Each field: its name, its type, and whether it may be left out."""
    from copyroom.room.contract import Part, Settled

    hints = typing.get_type_hints(record, include_extras=True)
    if typing.is_typeddict(record):
        for name, hint in hints.items():
            yield name, hint, typing.get_origin(hint) is typing.NotRequired
        return
    sent_as = dict(zip(record.__struct_fields__, record.__struct_encode_fields__, strict=True))
    for name, encoded in sent_as.items():
        marks = getattr(hints[name], "__metadata__", ())
        if issubclass(record, Part) and any(isinstance(mark, Settled) for mark in marks):
            continue  # the room puts it in
        # What a browser may leave out it leaves out, rather than sending null; it is told everything.
        optional = record.__struct_config__.forbid_unknown_fields and _has_default(record, name)
        withheld = any(map(is_unset, typing.get_args(hints[name])))  # from some audiences
        yield encoded, _without_none(hints[name]) if optional else hints[name], optional or withheld


def _has_default(record: Any, name: str) -> bool:
    place, fields = record.__struct_fields__.index(name), record.__struct_fields__
    return bool(place >= len(fields) - len(record.__struct_defaults__))


def _without_none(hint: Any) -> Any:
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        return typing.Union[tuple(part for part in typing.get_args(hint) if part is not type(None))]  # noqa: UP007
    return hint


def within(hint: Any) -> Iterator[Any]:
    """The records that a type is made of, the innermost first."""
    if is_record(hint):
        for _, inner, _ in fields_of(hint):
            yield from within(inner)
        yield hint
    for argument in typing.get_args(hint):
        yield from within(argument)


def interface(record: Any) -> list[str]:
    """The declaration of one record."""
    doc = record.__doc__ or ""
    said = [] if doc.startswith("dict(") else [" ".join(line.split()) for line in doc.strip().splitlines()]
    comment = ["/**", *(f" * {line}".rstrip() for line in said), " */"] if said else []
    rows = [
        f"  {name}{'?' if optional else ''}: {ts_type(hint)};" for name, hint, optional in fields_of(record)
    ]
    return [*comment, f"export interface {record.__name__} {{", *rows, "}", ""]


def purposes() -> tuple[str, list[str]]:
    """What may be sent to a class: the script's table, and its type."""
    from copyroom.core.purpose import PURPOSES, Purpose, Traits

    rows = [
        f'  "{purpose}": {json.dumps(dataclasses.asdict(traits))},\n' for purpose, traits in PURPOSES.items()
    ]
    said = "/** What may be sent to a class, and what each is. */"
    hints = typing.get_type_hints(Traits)
    typed = [
        "export interface Traits {",
        *(f"  {name}: {ts_type(hint)};" for name, hint in hints.items()),
        "}",
        "",
        f"export const PURPOSES: Readonly<Record<{ts_type(Purpose)}, Traits>>;",
    ]
    return f"\n{said}\nexport const PURPOSES = Object.freeze({{\n{''.join(rows)}}});\n", typed


def exercises() -> tuple[str, list[str], list[Any]]:
    """The kinds that can be started: the script's table, its type, and the records of their own."""
    from copyroom.room import exercises
    from copyroom.room.contract import Part

    exercises.load()
    kinds = [kind for _, kind in sorted(exercises.EXERCISES.items())]
    started = {
        kind.kind: {"title": kind.title, "hint": kind.hint, "in_circles": kind.fits_circle}
        for kind in kinds
        if kind.title
    }
    rows = [f'  "{kind}": {json.dumps(about)},\n' for kind, about in started.items()]
    own = [
        record
        for kind in kinds
        for name, module in sorted(sys.modules.items())
        if f"{name}.".startswith(f"{type(kind).__module__}.")  # its file, or the files of its folder
        for record in vars(module).values()
        if isinstance(record, type) and issubclass(record, Part) and record.__module__ == name
    ]
    said = "/** The group exercises, by their kind. */"
    fields = "{ title: string, hint: string, in_circles: boolean }"
    typed = [f"export const EXERCISES: Readonly<Record<string, {fields}>>;"]
    return f"\n{said}\nexport const EXERCISES = Object.freeze({{\n{''.join(rows)}}});\n", typed, own


def _by_field(part: Any) -> dict[str, Any]:
    return {name: getattr(part, name) for name in part.__struct_fields__}


def offered() -> dict[str, str]:
    """Per kind that offers something to choose from, a file of it."""
    from copyroom.room import exercises

    exercises.load()
    found = {name: kind.offers() for name, kind in sorted(exercises.EXERCISES.items()) if kind.offers()}
    files = {}
    for name, parts in found.items():
        record = type(parts[0]).__name__
        rows = "".join(f"  {json.dumps(part, default=_by_field, ensure_ascii=False)},\n" for part in parts)
        said = f"/** @type {{readonly import('../wire.js').{record}[]}} */"
        script = f"{HEAD}\n\n{said}\nexport const OFFERS = Object.freeze([\n{rows}]);\n"
        files[f"exercises/{name}_offers.js"] = script
    return files


def generate() -> dict[str, str]:
    """The text of each file, by its name."""
    from copyroom import wire

    tables: dict[str, dict[str, Any]] = {
        "ToServer": {**wire.TO_SERVER, "clock": wire.Clock},
        "ToBrowser": wire.TO_BROWSER,
    }
    records = dict.fromkeys(r for table in tables.values() for hint in table.values() for r in within(hint))
    kinds, kinds_typed, own = exercises()
    records |= dict.fromkeys(r for record in own for r in within(record))
    lines = [HEAD, "", *(line for record in records for line in interface(record))]
    for title, table in tables.items():
        rows = [f"  {name}: {payload.__name__};" for name, payload in table.items()]
        lines += [f"export interface {title} {{", *rows, "}", ""]
    names = "".join(f'  "{name}",\n' for name in wire.TO_BROWSER)
    listed, typed = purposes()
    lines += ["export const TO_BROWSER: readonly (keyof ToBrowser)[];", *typed, *kinds_typed, ""]
    said = "/** What a browser may be told. */"
    script = f"{HEAD}\n\n{said}\nexport const TO_BROWSER = Object.freeze([\n{names}]);\n{listed}{kinds}"
    return {"wire.js": script, "wire.d.ts": "\n".join(lines), **offered()}


def main() -> int:
    """Write or check; the exit code is 1 when a check fails."""
    stale = 0
    for name, text in generate().items():
        path = FOLDER / name
        if "--check" not in sys.argv:
            path.write_text(text, "utf-8")
        elif not path.is_file() or path.read_text("utf-8") != text:
            print(f"static/js/{name} is stale: run scripts/generate_wire.py", file=sys.stderr)
            stale = 1
    return stale


if __name__ == "__main__":
    sys.exit(main())
