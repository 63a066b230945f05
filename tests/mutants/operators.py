"""Mutants of a source: each is the same text with one small slip in it.

The operators are the usual ones (DeMillo, Lipton and Sayward, "Hints on test data selection",
Computer 11(4), 1978; the "sufficient" set of Offutt et al., ACM TOSEM 5(2), 1996), and some
for Python: a lost keyword, a loop that is not run, an error that is no longer caught.

Left alone, for no figure and no file hangs on it: annotations, decorators, docstrings, f-strings
and texts of several words, names of an Enum's members, what is in a `Sentence`, a `tr` or a
`raise`, an `assert` or a call to a log, `strict=` of zip, and what only a type checker reads.
"""

import ast
import re
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

_TOLERANCE = 1e-3
"""Numbers smaller than this are there to forgive rounding: their mutant forgives nothing."""

_COMPARED = {
    ast.Lt: ("<", ("<=", ">=")),
    ast.LtE: ("<=", ("<", ">")),
    ast.Gt: (">", (">=", "<=")),
    ast.GtE: (">=", (">", "<")),
    ast.Eq: ("==", ("!=",)),
    ast.NotEq: ("!=", ("==",)),
    ast.In: ("in", ("not in",)),
    ast.NotIn: ("not in", ("in",)),
    ast.Is: ("is", ("is not",)),
    ast.IsNot: ("is not", ("is",)),
}
_RECKONED = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.BitOr: ("|", "&"),
    ast.BitAnd: ("&", "|"),
    ast.MatMult: ("@", "*"),
}
_TWINS = {
    "min": "max",
    "any": "all",
    "floor": "ceil",
    "minimum": "maximum",
    "argmin": "argmax",
    "startswith": "endswith",
    "lower": "upper",
}
_TWINS |= {other: one for one, other in _TWINS.items()}
_DROPPED = {"abs", "sorted", "reversed", "round"}
"""Functions in whose place their first argument can stand."""
_TOLD = {"mark", "say", "plural", "Sentence", "tr", "translate", "getLogger"}
_LOGS = {"log", "_log", "logger", "_logger", "logging"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One slip.

    Attributes:
        where: qualified name of the function or class that it is in; "module" at the top.
        change: the line with the slip marked in it, `a {+ => -} b`; unique within `where`.
        lines: first and last line, from 1, of the statement, or head of one, that it is in.
        called: whether it is in a function, so that only a call reaches it.
        start, end: of the text replaced, in characters.
        text: what stands there instead.
    """

    where: str
    change: str
    lines: tuple[int, int]
    called: bool
    start: int
    end: int
    text: str

    def in_source(self, source: str) -> str:
        """The whole text with the slip in it."""
        return source[: self.start] + self.text + source[self.end :]


def mutants_of(source: str) -> tuple[Mutant, ...]:
    """Every mutant of a module's text that compiles, from its top to its end."""
    return tuple(_Maker(source).made())


class _Maker:
    """A walk through one source."""

    def __init__(self, source: str) -> None:
        self.source = source
        self._names: list[str] = []
        self._called = False
        self._named = False
        self._returns_bool = False
        self._lines = (1, 1)
        self._found: list[Mutant] = []

    def made(self) -> list[Mutant]:
        """The mutants, those that read alike numbered."""
        tree = ast.parse(self.source)
        self._body(tree.body)
        seen: dict[tuple[str, str], int] = {}
        made = []
        whole = [self._span(statement) for statement in tree.body]
        for each in sorted(self._found, key=lambda each: (each.start, each.end)):
            start, end = next(span for span in whole if each.end <= span[1])
            try:
                compile(each.in_source(self.source[:end])[start:], "mutant", "exec")
            except SyntaxError:
                continue
            key = each.where, each.change
            seen[key] = seen.get(key, 0) + 1
            again = f" ({seen[key]})" if seen[key] > 1 else ""
            made.append(replace(each, change=each.change + again))
        return made

    # Places in the text.

    @cached_property
    def _starts(self) -> list[int]:
        starts = [0]
        for line in self.source.splitlines(keepends=True):
            starts.append(starts[-1] + len(line))
        return starts

    def _place(self, line: int, column: int) -> int:
        """Character of a line (from 1) and a column (from 0, in bytes), as `ast` counts."""
        begin = self._starts[line - 1]
        text = self.source[begin : self._starts[line]]
        return begin + len(text.encode()[:column].decode())

    def _begin(self, node: ast.expr | ast.stmt | ast.keyword) -> int:
        return self._place(node.lineno, node.col_offset)

    def _end(self, node: ast.expr | ast.stmt | ast.keyword) -> int:
        return self._place(node.end_lineno or 0, node.end_col_offset or 0)

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        return self._begin(node), self._end(node)

    def _text(self, node: ast.expr | ast.stmt) -> str:
        start, end = self._span(node)
        return self.source[start:end]

    def _add(self, start: int, end: int, text: str) -> None:
        left = self.source.rfind("\n", 0, start) + 1
        right = self.source.find("\n", end)
        before, old, after = (
            " ".join(part.split())
            for part in (self.source[left:start], self.source[start:end], self.source[end:right])
        )
        change = f"{before} {{{old} => {text}}} {after}".strip()
        where = ".".join(self._names) or "module"
        self._found.append(Mutant(where, change, self._lines, self._called, start, end, text))

    def _swap(self, node: ast.expr | ast.stmt, text: str) -> None:
        self._add(self._begin(node), self._end(node), text)

    def _swap_sign(self, left: ast.expr, right: ast.expr, old: str, new: str) -> None:
        """Put one operator for another between two operands, of which either may be in brackets."""
        sign = re.compile(r"\s+".join(map(re.escape, old.split())))
        found = sign.search(self.source, self._end(left), self._begin(right))
        if found is not None:
            self._add(found.start(), found.end(), new)

    # Statements.

    def _body(self, body: list[ast.stmt], bound: set[str] | None = None) -> None:
        bound = set() if bound is None else bound
        for statement in body:
            if not _is_apart(statement):
                self._statement(statement, bound)
            bound |= {
                each.id
                for each in ast.walk(statement)
                if isinstance(each, ast.Name) and isinstance(each.ctx, ast.Store)
            }

    def _statement(self, node: ast.stmt, bound: set[str]) -> None:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            self._definition(node)
            return
        names = ("body", "orelse", "finalbody")
        blocks = [block for name in names if (block := getattr(node, name, None))]
        last = blocks[0][0].lineno - 1 if blocks else node.end_lineno
        self._lines = node.lineno, max(node.lineno, last or 0)
        self._whole_statement(node, bound)
        if not isinstance(node, ast.Raise):
            apart = (*names, "handlers", "annotation")
            self._values([value for name, value in ast.iter_fields(node) if name not in apart])
        for block in blocks:
            self._body(block, bound)
        for handler in getattr(node, "handlers", ()):
            self._handler(handler, bound)

    def _whole_statement(self, node: ast.stmt, bound: set[str]) -> None:
        match node:
            case ast.Raise() | ast.Break() | ast.Continue() | ast.Delete() | ast.Expr():
                self._swap(node, "pass")
            case ast.Return():
                self._returned(node)
            case ast.AugAssign():
                self._swap(node, "pass")
                old, new = _RECKONED[type(node.op)]
                start = self.source.index(old + "=", self._end(node.target))
                self._add(start, start + len(old), new)
            case ast.Assign(targets=[target]) if self._is_kept_without(target, bound):
                self._swap(node, "pass")
            case ast.If(test=test) | ast.While(test=test):
                self._condition(test)
            case ast.For(iter=items):
                self._swap(items, "()")

    def _is_kept_without(self, target: ast.expr, bound: set[str]) -> bool:
        """Whether what is assigned to is there without the assignment, too."""
        if isinstance(target, ast.Name):
            return self._called and target.id in bound
        return isinstance(target, ast.Attribute | ast.Subscript)

    def _definition(self, node: ast.FunctionDef | ast.ClassDef) -> None:
        self._names.append(node.name)
        self._lines = node.lineno, node.body[0].lineno - 1
        outer = self._returns_bool, self._called, self._named
        bound: set[str] = set()
        if isinstance(node, ast.FunctionDef):
            self._values([*node.args.defaults, *filter(None, node.args.kw_defaults)])
            self._called, self._named = True, False
            self._returns_bool = isinstance(node.returns, ast.Name) and node.returns.id == "bool"
            every = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
            bound = {each.arg for each in every}
        else:
            self._called = False
            self._named = any(
                isinstance(base, ast.Name) and base.id == "Enum" for base in node.bases
            )
        self._body(node.body, bound)
        self._returns_bool, self._called, self._named = outer
        self._names.pop()

    def _returned(self, node: ast.Return) -> None:
        if node.value is None:
            self._swap(node, "pass")
        elif self._returns_bool:
            self._condition(node.value)
        elif not (isinstance(node.value, ast.Constant) and node.value.value is None):
            self._swap(node.value, "None")

    def _handler(self, node: ast.ExceptHandler, bound: set[str]) -> None:
        first, last = node.body[0], node.body[-1]
        self._lines = node.lineno, max(node.lineno, first.lineno - 1)
        if isinstance(node.type, ast.Tuple):
            for each in node.type.elts:
                others = [self._text(one) for one in node.type.elts if one is not each]
                self._swap(node.type, f"({', '.join(others)},)")
        if not isinstance(first, ast.Raise):
            self._add(self._begin(first), self._end(last), "raise")
        self._body(node.body, bound)

    # Expressions.

    def _condition(self, test: ast.expr) -> None:
        """Negated, unless a mutant of its own parts does that."""
        match test:
            case ast.Constant() | ast.BoolOp() | ast.UnaryOp(op=ast.Not()) | ast.Compare(ops=[_]):
                return
        self._swap(test, f"not ({self._text(test)})")

    def _values(self, value: object) -> None:
        """Every expression in what a node holds: one, a list of them, or nodes between."""
        if isinstance(value, list):
            for each in value:
                self._values(each)
        elif isinstance(value, ast.expr | ast.comprehension):
            self._expression(value)
        elif isinstance(value, ast.AST) and getattr(value, "arg", "") != "strict":
            self._values([inner for _, inner in ast.iter_fields(value)])

    def _expression(self, node: ast.expr | ast.comprehension) -> None:
        if isinstance(node, ast.JoinedStr) or _name(node) in _TOLD:
            return
        match node:
            case ast.Constant():
                self._constant(node)
            case ast.Compare() | ast.BinOp() | ast.UnaryOp():
                self._signs(node)
            case ast.BoolOp():
                self._junction(node)
            case ast.IfExp():
                self._condition(node.test)
            case ast.Call():
                self._call(node)
            case ast.Subscript(slice=ast.Slice() as cut):
                for bound in filter(None, (cut.lower, cut.upper)):
                    self._swap(bound, "")
            case ast.comprehension():
                for test in node.ifs:
                    self._swap(test, "True")
        self._values([value for _, value in ast.iter_fields(node)])

    def _signs(self, node: ast.Compare | ast.BinOp | ast.UnaryOp) -> None:
        match node:
            case ast.Compare():
                pairs = pairwise([node.left, *node.comparators])
                for (left, right), op in zip(pairs, node.ops, strict=True):
                    old, others = _COMPARED[type(op)]
                    for new in others:
                        self._swap_sign(left, right, old, new)
            case ast.BinOp(op=ast.BitOr()) if not self._called:
                return  # a type's other name
            case ast.BinOp() if type(node.op) in _RECKONED:
                self._swap_sign(node.left, node.right, *_RECKONED[type(node.op)])
            case ast.UnaryOp(op=ast.Not() | ast.USub()):
                self._add(self._begin(node), self._begin(node.operand), "")

    def _junction(self, node: ast.BoolOp) -> None:
        """Each operand left out: more than `and` for `or`, which any of these finds."""
        word = " and " if isinstance(node.op, ast.And) else " or "
        for each in node.values:
            others = [self._operand(one) for one in node.values if one is not each]
            self._swap(node, word.join(others))

    def _operand(self, node: ast.expr) -> str:
        low = isinstance(node, ast.BoolOp | ast.IfExp | ast.Lambda | ast.NamedExpr)
        return f"({self._text(node)})" if low else self._text(node)

    def _call(self, node: ast.Call) -> None:
        name = _name(node)
        if name in _TWINS:
            end = self._end(node.func)
            self._add(end - len(name), end, _TWINS[name])
        if name in _DROPPED and isinstance(node.func, ast.Name):
            self._swap(node, f"({self._text(node.args[0])})")
        if name == "suppress":
            self._swap(node, "suppress()")
            return
        ends = [self._end(node.func)]
        for each in sorted([*node.args, *node.keywords], key=self._end):
            if isinstance(each, ast.keyword) and each.arg not in (None, "strict"):
                # With the comma before it, or the one after it where it comes first.
                comma = self.source.find(",", ends[-1], self._begin(each))
                if comma >= 0:
                    self._add(comma, self._end(each), "")
                else:
                    after = self._end(each)
                    after += self.source.startswith(",", after)
                    self._add(self._begin(each), after, "")
            ends.append(self._end(each))

    def _constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool):
            self._swap(node, str(not value))
        elif isinstance(value, int):
            self._swap(node, str(value + 1))
        elif isinstance(value, float):
            small = abs(value) < _TOLERANCE
            self._swap(node, "1.0" if not value else "0.0" if small else repr(2 * value))
        elif isinstance(value, str) and value.split() == [value] and not self._named:
            self._swap(node, repr("x" + value))


def _name(node: ast.AST) -> str:
    """Last word of what is called; empty for anything but a call."""
    if not isinstance(node, ast.Call):
        return ""
    return getattr(node.func, "id", "") or getattr(node.func, "attr", "")


def _is_apart(node: ast.stmt) -> bool:
    """Whether a statement does no work of the program's."""
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert() | ast.Pass() | ast.Global():
            return True
        case ast.Expr(value=ast.Constant()):  # a docstring, or three dots
            return True
        case ast.Expr(value=ast.Call(func=ast.Attribute(value=ast.Name(id=name)))):
            return name in _LOGS
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.Assign(targets=[ast.Name(id="__all__")]):
            return True
    return False
