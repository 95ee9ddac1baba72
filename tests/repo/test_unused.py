"""Nothing is written that nobody calls."""

from __future__ import annotations

import ast
import re
from collections import Counter

from repo.tree import PACKAGE, STATIC, own_files

CALLED_BY_NAME = re.compile(r"__\w+__|_on_\w+")
"""By Python, or by the name of the message that came."""


def words(*suffixes: str) -> Counter[str]:
    texts = [path.read_text("utf-8") for path in own_files(*suffixes)]
    return Counter(word for text in texts for word in re.findall(r"\w+", text))


def test_every_function_and_class_of_the_package_is_used() -> None:
    """What a decorator hands to a table is used by it."""
    used, defined = words(".py", ".toml"), set()
    for path in (path for path in own_files(".py") if PACKAGE in path.parents):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.decorator_list:
                defined.add(node.name)
    assert len(defined) > 300
    assert {name for name in defined if used[name] < 2 and not CALLED_BY_NAME.fullmatch(name)} == set()


def test_everything_that_a_script_exports_is_imported_by_another_or_a_test() -> None:
    files = own_files(".js", ".py")
    used: Counter[str] = Counter()
    for path in files:
        used.update(set(re.findall(r"\w+", path.read_text("utf-8"))))
    scripts = [path for path in files if path.suffix == ".js" and STATIC in path.parents]
    exported = {
        name
        for path in scripts
        for name in re.findall(
            r"^export (?:async )?(?:function|const|class) (\w+)", path.read_text("utf-8"), re.M
        )
    }
    assert len(exported) > 150
    assert {name for name in exported if used[name] < 2} == set()
