"""The picture of the rooms shows every room and what it imports."""

from scripts.draw_rooms import count_imports, draw, drop_detours, find_heights, imports_of, read_rooms


def test_every_room_has_its_box_and_stands_above_what_it_imports():
    rooms = read_rooms()
    counted = count_imports(rooms)
    heights = find_heights(rooms, counted)
    assert {"geometry", "shop", "calculators", "bench", "demo"} <= set(rooms)
    assert all(heights[a] > heights[b] for a, b in counted)
    assert draw().count("<rect x=") == len(rooms)


def test_a_direct_line_beside_a_longer_way_is_left_out():
    counted = {("a", "b"): 1, ("b", "c"): 2, ("c", "d"): 1, ("a", "d"): 5, ("e", "d"): 1}
    assert drop_detours(counted) == {("a", "b"): 1, ("b", "c"): 2, ("c", "d"): 1, ("e", "d"): 1}
    assert find_heights(["e", "a", "b", "c", "d"], counted) == {"a": 3, "b": 2, "c": 1, "d": 0, "e": 1}


def test_only_whole_names_of_the_rooms_count(tmp_path):
    module = tmp_path / "module.py"
    module.write_text("import os\nimport regrind.shop.models\nfrom . import x\nfrom regrind.record.find import y\n")
    assert list(imports_of(module)) == ["shop", "record"]
