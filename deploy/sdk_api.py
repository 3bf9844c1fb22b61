"""What callers of the SDK can rely on, kept as stubs of a release, and what a change of it would break."""

import ast
from pathlib import Path

import griffe

_FOLLOWS_FROM_THE_CONTRACT = "models.py"


def stubs(package: Path) -> dict[str, str]:
    """Return the modules of a package without function bodies and docstrings, by file name relative to its parent.

    Generated models are left out: the contract that they follow from is compared by itself.
    """
    found: dict[str, str] = {}
    for file in sorted(package.rglob("*.py")):
        if file.name != _FOLLOWS_FROM_THE_CONTRACT:
            tree = _Bare().visit(ast.parse(file.read_text("utf-8")))
            name = file.relative_to(package.parent).with_suffix(".pyi").as_posix()
            found[name] = ast.unparse(ast.fix_missing_locations(tree)) + "\n"
    return found


class _Bare(ast.NodeTransformer):
    """Takes away what a caller cannot see."""

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.body = [ast.Expr(ast.Constant(...))]
        return node

    def visit_AsyncFunctionDef(self, node: ast.AsyncFunctionDef) -> ast.AST:
        node.body = [ast.Expr(ast.Constant(...))]
        return node

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        self.generic_visit(node)
        node.body = node.body or [ast.Expr(ast.Constant(...))]
        return node

    def visit_Expr(self, node: ast.Expr) -> ast.AST | None:
        return None if isinstance(node.value, ast.Constant) and isinstance(node.value.value, str) else node


def broken(released: Path, current: Path) -> list[str]:
    """Return what breaks in `current` for a caller written for `released`, one line each.

    Parameters
    ----------
    released, current
        Directories that hold the package `drawbar`, as stubs or as source.
    """
    old, new = (griffe.load("drawbar", search_paths=[place]) for place in (released, current))
    exported = tuple(
        one.target_path for one in old.members.values() if isinstance(one, griffe.Alias) and one.is_exported
    )
    return sorted(
        f"{one.obj.path}: {one.kind.value}"
        for one in griffe.find_breaking_changes(old, new)
        if "._" not in one.obj.path or one.obj.path.startswith(exported)
    )
