"""`copyroom symbols`: list the symbols of the code."""

from __future__ import annotations

import json

import click

from copyroom.core.alphabet import JOINED, RECOMMENDED, SYMBOLS, Symbol


@click.command()
@click.option("--json", "as_json", is_flag=True, help="One JSON list instead of a table.")
@click.option("--additions", is_flag=True, help="Those outside the recommendation, too.")
def symbols(as_json: bool, additions: bool) -> None:
    """List every symbol: its sign, code point, elements, joined letters and name."""
    listed = SYMBOLS if additions else RECOMMENDED
    if as_json:
        click.echo(json.dumps([_record(symbol) for symbol in listed], ensure_ascii=False, indent=1))
        return
    click.echo(_row("sign", "code point", "elements", "joined", "name"))
    for symbol in listed:
        click.echo(
            _row(symbol.sign, _code_point(symbol), symbol.elements, " ".join(_joined(symbol)), symbol.name)
        )


def _row(sign: str, code_point: str, elements: str, joined: str, name: str) -> str:
    return f"{sign:<5} {code_point:<11} {elements:<9} {joined:<7} {name}"


def _record(symbol: Symbol) -> dict[str, object]:
    return {
        "sign": symbol.sign,
        "code_point": _code_point(symbol),
        "elements": symbol.elements,
        "name": symbol.name,
        "joined": _joined(symbol),
        "kind": symbol.kind,
    }


def _code_point(symbol: Symbol) -> str:
    return f"U+{ord(symbol.sign):04X}"


def _joined(symbol: Symbol) -> list[str]:
    return [letters for letters, owner in JOINED.items() if owner is symbol]
