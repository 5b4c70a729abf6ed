"""Textual's style sheets, parsed and matched once a process instead of once an app.

Each app under test brings some sixty sheets, the same ones for every app, and each change of theme parses them anew.
What a sheet comes to hangs on its text, its place and the theme's variables alone, so it is kept under these. What the
rules come to for a node hangs on the rules and on what it and all above it are called and are doing, so that is kept
under these, too: of all that is done in a test of the bench, looking that up took a fifth.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.widget import Widget

if TYPE_CHECKING:
    import pytest
    from textual.dom import DOMNode

_PARSED: dict[tuple[tuple[str, str], ...], dict[tuple[Any, ...], Any]] = {}
_MATCHED: dict[tuple[int, ...], dict[tuple[Any, ...], Any]] = {}  # by the rules, which ``_PARSED`` keeps
_PUT_ON: dict[int, tuple[Any, Any]] = {}  # by the rules: what a node has on that had nothing on before
_ABOVE: list[dict[Any, Any]] = []  # what the parents of an update's nodes are, while it goes on
_begins, _sets, _applies = Stylesheet.__init__, Stylesheet.set_variables, Stylesheet.apply
_replaces = Stylesheet.replace_rules


def _share(sheet: Stylesheet) -> None:
    sheet._parse_cache = _PARSED.setdefault(tuple(sorted(sheet._variables.items())), {})  # type: ignore[assignment]


def _begin(sheet: Stylesheet, *, variables: dict[str, str] | None = None) -> None:
    _begins(sheet, variables=variables)
    _share(sheet)


def _set_variables(sheet: Stylesheet, variables: dict[str, str]) -> None:
    sheet._parse_cache = {}  # type: ignore[assignment]  # Textual clears it: others share the one it had
    _sets(sheet, variables)
    _share(sheet)


def _told_apart_by(node: DOMNode) -> tuple[Any, ...]:
    """All that a rule can ask of a node, but for its place among its neighbours: such rules Textual keeps nowhere."""
    doing: object = node._pseudo_classes_cache_key
    if isinstance(node, App):
        doing = frozenset(node.get_pseudo_classes())
    elif isinstance(node, Widget):
        doing = doing, node.allow_focus()
    return type(node), node._id, node.classes, doing


class _Kept:
    """What Textual keeps during one update, under a node's parent; kept for good, under what all above it are."""

    def __init__(self, sheet: Stylesheet, node: DOMNode, above: dict[Any, Any]) -> None:
        if getattr(sheet, "matched_for", None) is not sheet.rules:
            sheet.matched_for = sheet.rules  # type: ignore[attr-defined]
            sheet.matched = _MATCHED.setdefault(tuple(map(id, sheet.rules)), {})  # type: ignore[attr-defined]
        self.known: dict[tuple[Any, ...], Any] = sheet.matched  # type: ignore[attr-defined]
        parent = node._parent
        if parent not in above:
            above[parent] = tuple(map(_told_apart_by, node.css_path_nodes[:-1]))
        self.key = (above[parent], _told_apart_by(node))

    def get(self, _: object) -> Any:
        return self.known.get(self.key)

    def __setitem__(self, _: object, rules: Any) -> None:
        self.known[self.key] = rules


def _apply(sheet: Stylesheet, node: DOMNode, *, animate: bool = False, cache: dict[Any, Any] | None = None) -> None:
    above = cache if cache is not None else _ABOVE[-1] if _ABOVE else {}
    kept = _Kept(sheet, node, above)
    rules, base = kept.get(None), node.styles.base
    if rules is not None and node.__dict__.get("dressed_in") == (id(rules), base._updates):
        if not animate:
            node.notify_style_update()
        return  # it has on what it is to put on, and so have its parts
    _ABOVE.append(above)
    try:
        _applies(sheet, node, animate=animate, cache=kept)  # type: ignore[arg-type]
    finally:
        _ABOVE.pop()
    node.__dict__["dressed_in"] = (id(kept.get(None)), base._updates)


def _replace(node: DOMNode, rules: Any, animate: bool = False) -> None:
    """Put on what differs from what it has on; Textual sets each rule anew, to find most of them as they were."""
    base = node.styles.base
    if animate:
        _replaces(node, rules, animate=True)
        return
    if base._rules or node._is_mounted:
        have = base._rules
        for name in have.keys() | rules.keys():
            if have.get(name) is not rules.get(name):
                setattr(base, name, rules.get(name))
    elif id(rules) in _PUT_ON:
        base.merge_rules(_PUT_ON[id(rules)][1])  # nothing is to be told of it yet
    else:
        _replaces(node, rules)
        _PUT_ON[id(rules)] = rules, base.get_rules()
    node.notify_style_update()


def use(patch: pytest.MonkeyPatch) -> None:
    """Have every style sheet look there first."""
    patch.setattr(Stylesheet, "__init__", _begin)
    patch.setattr(Stylesheet, "set_variables", _set_variables)
    patch.setattr(Stylesheet, "apply", _apply)
    patch.setattr(Stylesheet, "replace_rules", staticmethod(_replace))
    patch.setattr(RuleSet, "__hash__", object.__hash__)  # what it comes to, without Python
