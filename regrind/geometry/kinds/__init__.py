"""Kinds of tool beside the end mill, each a small module behind one interface (`kind.Kind`); docs/add-a-kind.md."""
