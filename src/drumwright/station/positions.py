"""Line and column of every field of a TOML text; built only when there is something to say about it."""

from __future__ import annotations

from typing import Any

Path = tuple[str | int, ...]
Place = tuple[int, int]


class Positions:
    """Where the keys of a TOML text stand.

    Parameters
    ----------
    content : bytes
        The text in UTF-8, without byte order mark.
    """

    def __init__(self, content: bytes) -> None:
        import tree_sitter
        import tree_sitter_toml

        self._content = content
        self._found: dict[Path, Place] = {}
        self._counts: dict[Path, int] = {}
        parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
        for node in parser.parse(content).root_node.named_children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def exact(self, path: Path) -> Place | None:
        """Return line and column, from 1, of a field, or None; a lone ``[product]`` is ``product[0]`` too."""
        if path in self._found:
            return self._found[path]
        return self._found.get(tuple(step for step in path if step != 0))

    def nearest(self, path: Path) -> Place:
        """Return the place of a field, or of the innermost table around it, or (0, 0)."""
        for length in range(len(path), 0, -1):
            place = self.exact(path[:length])
            if place is not None:
                return place
        return 0, 0

    def _table(self, node: Any) -> None:
        children = node.named_children
        names = self._names(children[0])
        path = self._with_indices(names)
        if node.type == "table_array_element":
            count = self._counts.get(path, 0)
            self._found.setdefault(path, self._place(children[0]))
            self._counts[path] = count + 1
            path = (*path, count)
        self._found.setdefault(path, self._place(children[0]))
        for child in children[1:]:
            if child.type == "pair":
                self._pair(child, path)

    def _with_indices(self, names: Path) -> Path:
        """Return the path of a heading: lists of tables before the last name mean their latest element."""
        path: Path = ()
        for position, name in enumerate(names):
            path = (*path, name)
            if position < len(names) - 1 and path in self._counts:
                path = (*path, self._counts[path] - 1)
        return path

    def _pair(self, node: Any, prefix: Path) -> None:
        key, value = node.named_children[0], node.named_children[-1]
        path = (*prefix, *self._names(key))
        self._found.setdefault(path, self._place(key))
        self._value(value, path)

    def _value(self, node: Any, path: Path) -> None:
        if node.type == "inline_table":
            for child in node.named_children:
                if child.type == "pair":
                    self._pair(child, path)
        elif node.type == "array":
            items = [child for child in node.named_children if child.type != "comment"]
            for index, item in enumerate(items):
                self._found.setdefault((*path, index), self._place(item))
                self._value(item, (*path, index))

    def _names(self, node: Any) -> Path:
        if node.type == "dotted_key":
            return tuple(name for child in node.named_children for name in self._names(child))
        return (self._content[node.start_byte : node.end_byte].decode("utf-8", "replace").strip("\"'"),)

    def _place(self, node: Any) -> Place:
        return node.start_point[0] + 1, node.start_point[1] + 1
