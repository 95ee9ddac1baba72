"""No file and no function outgrows what can be read at once: 500 lines and 70."""

from __future__ import annotations

import ast

from repo.tree import own_files

FILE_LINES = 500
FUNCTION_LINES = 70


def test_no_file_is_too_long():
    sources = own_files(".py", ".js", ".css", ".html")
    lengths = {path: len(path.read_text("utf-8").splitlines()) for path in sources}
    assert lengths
    assert {path: lines for path, lines in lengths.items() if lines > FILE_LINES} == {}


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its docstring."""
    start = function.lineno
    if ast.get_docstring(function) is not None:
        start += function.body[0].end_lineno - function.body[0].lineno + 1
    return function.end_lineno - start + 1


def test_no_function_is_too_long():
    too_long = {
        f"{path}:{node.lineno} {node.name}": code_lines(node)
        for path in own_files(".py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and code_lines(node) > FUNCTION_LINES
    }
    assert too_long == {}
