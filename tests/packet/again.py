"""Works a printed formula out again, with an evaluator of its own: the syntax tree, walked over numbers and nothing else."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from typing import Any

_DYADIC: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv, ast.Pow: operator.pow,
    ast.FloorDiv: operator.floordiv, ast.Mod: operator.mod,
}  # fmt: skip
_COMPARED: dict[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Lt: operator.lt, ast.LtE: operator.le, ast.Gt: operator.gt, ast.GtE: operator.ge, ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}  # fmt: skip
_CALLED: dict[str, Callable[..., float]] = {
    "sqrt": lambda x: x**0.5, "log": math.log, "exp": lambda x: math.e**x, "ceil": lambda x: -(-x // 1),
    "floor": lambda x: x // 1, "min": lambda *x: sorted(x)[0], "max": lambda *x: sorted(x)[-1],
}  # fmt: skip
_CONSTANTS = {"pi": 3.141592653589793, "inf": math.inf}


def again(formula: str, inputs: Mapping[str, float]) -> float:
    """The value of an expression of arithmetic over the inputs.  Raises KeyError or TypeError at anything else."""
    return _value(ast.parse(formula, mode="eval").body, {**_CONSTANTS, **inputs})


def _value(node: ast.expr, names: Mapping[str, float]) -> Any:
    match node:
        case ast.Constant(value=int() | float() as value):
            return value
        case ast.Name(id=name):
            return names[name]
        case ast.BinOp(left=left, op=op, right=right):
            return _DYADIC[type(op)](_value(left, names), _value(right, names))
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand, names)
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]):
            return _CALLED[name](*(_value(argument, names) for argument in arguments))
        case ast.IfExp(test=test, body=body, orelse=otherwise):
            return _value(body if _value(test, names) else otherwise, names)
        case ast.BoolOp(op=op, values=values):
            return (all if isinstance(op, ast.And) else any)(_value(value, names) for value in values)
        case ast.Compare(left=left, ops=ops, comparators=rest):
            told = [_value(part, names) for part in (left, *rest)]
            return all(_COMPARED[type(op)](a, b) for op, a, b in zip(ops, told, told[1:], strict=False))
    raise TypeError(f"no arithmetic: {ast.dump(node)}")
