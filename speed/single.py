"""The same kernels once more in single precision: their text is read, and every number in it made single.

No part of the tool: what it costs and what it gains stands in docs/study.md. One source, as on the card: the Python
function behind a kernel, read as a tree, with every kernel that it calls. Three things would else make double numbers
of single ones: a number written into the text, a number with a name of its own, and a whole number that meets a
broken one. All three are made single where they stand.
"""

import ast
import builtins
import inspect
import math
import textwrap
from collections.abc import Callable
from types import CodeType, FunctionType
from typing import Any

import numpy as np

from steadyhead.flight.device import brought
from steadyhead.physics.kernel import source_of

ONE = "_single"
"""The name by which a rewritten function makes a number single."""
WHOLE_FIELDS = ("step", "steps_a_frame", "steps_a_sample", "steps_a_row")
"""Fields of tuples that hold whole numbers and meet broken ones."""
SUMS = (ast.Add, ast.Sub, ast.Mult, ast.Div)


def single(held: Any) -> Any:
    """Return the same number, array or tuple with every broken number in it single; whole ones stay whole."""
    if isinstance(held, float):
        return np.float32(held)
    if isinstance(held, np.ndarray) and held.dtype == np.float64:
        return held.astype(np.float32)
    if isinstance(held, tuple):
        parts = [single(one) for one in held]
        return type(held)(*parts) if hasattr(held, "_fields") else tuple(parts)
    return held


class Singled:
    """Kernels in single precision, each made once, with `instead` in the place of numbers of the same name."""

    def __init__(self, compiler: Callable[[FunctionType], Any], **instead: Any) -> None:
        self.compiler, self.instead = compiler, instead
        self.made: dict[Any, Any] = {}

    def __call__(self, kernel: Any) -> Any:
        """Return a kernel compiled for single precision."""
        function = source_of(kernel)
        if function not in self.made:
            self.made[function] = self.compiler(self.plain(function))
        return self.made[function]

    def plain(self, function: Any, **more: Any) -> FunctionType:
        """Return the Python function rewritten, with the single kernel under the name of every kernel it calls."""
        names = {name: self.named(name, held) for name, held in function.__globals__.items() if name in used(function)}
        whole = {**names, **more, ONE: np.float32, "float": np.float32, "__builtins__": builtins}
        exec(rewritten(function), whole)
        made: FunctionType = whole[function.__name__]
        made.__module__ = __name__
        return made

    def named(self, name: str, held: Any) -> Any:
        """Return what a name stands for in single precision."""
        if name in self.instead:
            return single(self.instead[name])
        return self(held) if hasattr(held, "py_func") else single(held)


def used(function: Any) -> set[str]:
    """Names that a function takes from its file."""
    return set(function.__code__.co_names)


def rewritten(function: Any) -> CodeType:
    """Return the code that defines the function with every number single."""
    lines, first = inspect.getsourcelines(function)
    tree = ast.parse(textwrap.dedent("".join(lines)))
    ast.increment_lineno(tree, first - 1)
    Rewrite(tree.body[0], function.__globals__).visit(tree)
    return constants_single(compile(ast.fix_missing_locations(tree), function.__code__.co_filename, "exec"))


def constants_single(code: CodeType) -> CodeType:
    """Return the same code with single constants."""
    return code.replace(
        co_consts=tuple(constants_single(one) if isinstance(one, CodeType) else single(one) for one in code.co_consts)
    )


class Rewrite(ast.NodeTransformer):
    """Makes single what would turn double where it meets a single number."""

    def __init__(self, function: Any, seen: dict[str, Any]) -> None:
        self.seen = seen
        self.whole = {one.arg for one in function.args.args if getattr(one.annotation, "id", "") == "int"}
        for _ in range(3):
            for node in ast.walk(function):
                self.look(node)

    def look(self, node: ast.AST) -> None:
        """Remember a name that holds a whole number."""
        if isinstance(node, ast.For) and isinstance(node.target, ast.Name):
            self.whole.add(node.target.id)
        if isinstance(node, ast.Assign):
            for target in node.targets:
                pairs = [(target, node.value)]
                if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                    pairs = list(zip(target.elts, node.value.elts, strict=True))
                self.whole |= {to.id for to, value in pairs if isinstance(to, ast.Name) and self.is_whole(value)}

    def is_whole(self, node: ast.AST) -> bool:
        """Whether an expression is a whole number."""
        match node:
            case ast.Constant():
                return type(node.value) is int
            case ast.Name():
                return node.id in self.whole or type(self.seen.get(node.id)) is int
            case ast.Attribute():
                return node.attr in WHOLE_FIELDS
            case ast.Subscript():
                return getattr(node.value, "attr", "") == "shape"
            case ast.Call():
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                return name in ("int", "floor", "ceil") or (
                    name in ("min", "max") and all(map(self.is_whole, node.args))
                )
            case ast.BinOp():
                return (
                    not isinstance(node.op, ast.Div) and self.is_whole(node.left) and self.is_whole(node.right)
                )  # fmt: skip
        return False

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        """A function without its decorators and without what was said of its types."""
        node.decorator_list, node.returns = [], None
        for one in node.args.args:
            one.annotation = None
        return self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        """A whole number that meets a broken one, or is divided, is made single first."""
        left, right = self.is_whole(node.left), self.is_whole(node.right)
        self.generic_visit(node)
        if isinstance(node.op, SUMS) and (left != right or isinstance(node.op, ast.Div)):
            node.left = made_single(node.left) if left else node.left
            node.right = made_single(node.right) if right else node.right
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.AST:
        """Numbers of the library, and the name of the double type."""
        self.generic_visit(node)
        at = getattr(node.value, "id", "")
        if at == "math" and isinstance(getattr(math, node.attr), float):
            return ast.Constant(getattr(math, node.attr))
        if at == "np" and node.attr == "float64":
            node.attr = "float32"
        return node


def made_single(node: ast.expr) -> ast.expr:
    """The expression, made single."""
    return ast.Call(func=ast.Name(id=ONE, ctx=ast.Load()), args=[node], keywords=[])


def flown_singly(own: Any) -> tuple[Callable[[Any], Any], Any]:
    """What flies cases on the card as `bail_out_device.flown_on_card` does, in single precision, and the card's kernel.

    Shapes: cases (n, 33) as `bail_out_columns.CASE` -> (n, 19) as `bail_out_columns.TOLD`.
    """
    from steadyhead.flight import bail_out_columns as columns
    from steadyhead.flight import bail_out_device as device

    cuda, threads = device.card(), device.BLOCK.threads
    singled = Singled(cuda.jit(device=True))
    plain = singled.plain(device.each_bail_out, cuda=cuda)
    run = cuda.jit(max_registers=device.BLOCK.registers)(plain)
    same = [brought(single(one)) for one in (own.craft, own.map, own.setting)]

    def once(cases: Any, longest_s: float) -> Any:
        order = cuda.to_device(np.argsort(-device.level_after(cases), kind="stable"))
        told = cuda.device_array((len(cases), device.TELLS), np.float32)
        limits = single(own.limits._replace(longest_s=longest_s))
        run[-(-len(cases) // threads), threads](*same, limits, cuda.to_device(single(cases)), order, told)
        return told.copy_to_host()

    def flown(cases: Any) -> Any:
        look_s = device.FIRST_LOOK * float(np.median(device.level_after(cases)))
        told = once(cases, min(look_s, own.limits.longest_s))
        left = told[:, columns.CODE] == columns.NOT_LEVEL
        if left.any() and look_s < own.limits.longest_s:
            told[left] = once(cases[left], own.limits.longest_s)
        return told

    return flown, run


def doubles(run: Any) -> tuple[int, int]:
    """Lines of a card's program that name a double and a single number."""
    lines = "".join(run.inspect_asm().values()).splitlines()
    return sum(".f64" in line for line in lines), sum(".f32" in line for line in lines)
