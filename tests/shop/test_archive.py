"""The file of a backup, made by hand to be broken or to harm: refused in words, and nothing of it left anywhere."""

import gzip
import hashlib
import io
import json
import random
import stat
import tarfile
from pathlib import Path

import pytest

from regrind.shop.backups.archive import FORMAT, BackupError, read_manifest, unpack, write_archive

pytestmark = pytest.mark.drill("backups (tars) spoilt or hostile")
PHOTO = f"photos/ab/{'ab' * 32}.jpg"
CONTENT = {"database": bytes(range(256)) * 40, PHOTO: b"a photo" * 100}


def manifest_of(content: dict[str, bytes], **changed) -> dict:
    return {
        "format": FORMAT,
        "vendor": "sqlite",
        "made": "2026-01-01",
        "schema": [],
        "faults": [],
        "counts": {},
        "files": {name: hashlib.sha256(body).hexdigest() for name, body in content.items()},
    } | changed


@pytest.fixture
def backup(tmp_path) -> Path:
    files = {}
    for n, (name, body) in enumerate(CONTENT.items()):
        files[name] = tmp_path / f"source{n}"
        files[name].write_bytes(body)
    write_archive(tmp_path / "backup.tar", manifest_of(CONTENT), files)
    return tmp_path / "backup.tar"


def restore(source: Path, target: Path) -> dict[str, bytes]:
    """What comes out, name -> bytes."""
    target.mkdir()
    unpack(source, read_manifest(source), target)
    return {path.relative_to(target).as_posix(): path.read_bytes() for path in target.rglob("*") if path.is_file()}


def build(target: Path, *members: tuple[tarfile.TarInfo, bytes], manifest: dict | None = None) -> Path:
    """A tar of these members behind a manifest that names CONTENT."""
    text = json.dumps(manifest_of(CONTENT) if manifest is None else manifest).encode()
    with tarfile.open(target, "w") as tar:
        for info, body in ((tarfile.TarInfo("manifest.json"), text), *members):
            if info.isreg():
                info.size = len(body)
            tar.addfile(info, io.BytesIO(body))
    return target


def plain(name: str) -> tuple[tarfile.TarInfo, bytes]:
    return tarfile.TarInfo(name), CONTENT.get(name, b"more")


def special(name: str, kind: bytes, leads_to: str = "") -> tuple[tarfile.TarInfo, bytes]:
    info = tarfile.TarInfo(name)
    info.type, info.linkname = kind, leads_to
    return info, b""


def test_what_went_in_comes_out_for_its_owners_eyes_alone(backup, tmp_path, monkeypatch):
    def refuse(*_, **__):
        raise TypeError("extractall() got an unexpected keyword argument 'filter'")  # as Python 3.11.2 says

    monkeypatch.setattr(tarfile.TarFile, "extractall", refuse)
    monkeypatch.setattr(tarfile.TarFile, "extract", refuse)
    assert restore(backup, tmp_path / "out") == CONTENT
    modes = {stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "out").rglob("*") if path.is_file()}
    assert modes | {stat.S_IMODE(backup.stat().st_mode)} == {0o600}
    assert stat.S_IMODE((tmp_path / "out/photos/ab").stat().st_mode) == 0o700


def test_the_archive_tells_nothing_of_the_machine_it_was_made_on(backup):
    with tarfile.open(backup) as tar:
        assert {(member.uname, member.uid, member.mtime) for member in tar} == {("", 0, 0)}


def test_only_the_plain_files_of_the_manifest_are_taken(tmp_path):
    source = build(
        tmp_path / "a.tar",
        *map(plain, (*CONTENT, "../outside", "/tmp/outside", "photos/more.jpg")),
        special("photos/link", tarfile.SYMTYPE, "/etc/passwd"),
    )
    assert restore(source, tmp_path / "out") == CONTENT
    assert not (tmp_path / "outside").exists()


@pytest.mark.parametrize(
    ("kind", "leads_to"),
    [
        (tarfile.SYMTYPE, "/etc/passwd"),
        (tarfile.LNKTYPE, PHOTO),
        (tarfile.CHRTYPE, ""),
        (tarfile.FIFOTYPE, ""),
        (tarfile.DIRTYPE, ""),
    ],
)
def test_a_name_of_the_manifest_that_is_no_plain_file_is_refused(kind, leads_to, tmp_path):
    source = build(tmp_path / "a.tar", plain(PHOTO), special("database", kind, leads_to))
    with pytest.raises(BackupError, match="database was altered"):
        restore(source, tmp_path / "out")
    assert not (tmp_path / "out/database").exists()


def test_a_file_that_stands_twice_is_refused(tmp_path):
    source = build(tmp_path / "a.tar", *map(plain, ("database", PHOTO, "database")))
    with pytest.raises(BackupError, match="database was altered"):
        restore(source, tmp_path / "out")


@pytest.mark.parametrize(
    "name",
    [
        "../outside",
        "/etc/passwd",
        "photos/../../x",
        "photos/ab/x.jpg",
        "secret",
        "database\n",
        f"papers/{'a' * 64}.exe",
    ],
)
def test_a_manifest_that_names_what_no_backup_holds_is_refused(name, tmp_path):
    source = build(tmp_path / "a.tar", manifest=manifest_of(CONTENT | {name: b"x"}))
    with pytest.raises(BackupError, match="no valid files"):
        read_manifest(source)


@pytest.mark.parametrize(
    "manifest",
    [
        [],
        7,
        None,
        "x",
        {},
        {"format": "regrind backup 0"},
        manifest_of({}),
        manifest_of(CONTENT, vendor="other"),
        manifest_of(CONTENT, schema=7),
        manifest_of(CONTENT, faults=[1]),
        manifest_of(CONTENT, counts={"a": "1"}),
        manifest_of(CONTENT, files=[]),
    ],
)
def test_a_manifest_of_another_shape_is_refused_in_words(manifest, tmp_path):
    source = tmp_path / "a.tar"
    with tarfile.open(source, "w") as tar:
        text = json.dumps(manifest).encode()
        info = tarfile.TarInfo("manifest.json")
        info.size = len(text)
        tar.addfile(info, io.BytesIO(text))
    with pytest.raises(BackupError, match=r"not a backup of this program|was altered"):
        read_manifest(source)


def raw_manifest(target: Path, text: bytes) -> Path:
    info = tarfile.TarInfo("manifest.json")
    info.size = len(text)
    with tarfile.open(target, "w") as tar:
        tar.addfile(info, io.BytesIO(text))
    return target


@pytest.mark.parametrize("text", [b"", b"{", b"[" * 100_000, b"\xff\xfe", b'{"a": ' * 50_000])
def test_a_manifest_that_is_no_json_is_refused_in_words(text, tmp_path):
    with pytest.raises(BackupError, match="cut short, damaged"):
        read_manifest(raw_manifest(tmp_path / "a.tar", text))


def test_a_packed_archive_is_not_unpacked(tmp_path):
    """A small file cannot become a large one: 30 MB of nothing in less than 300 kB."""
    bomb = tmp_path / "bomb.tar"
    with gzip.open(bomb, "wb", compresslevel=1) as file, tarfile.open(fileobj=file, mode="w") as tar:
        info = tarfile.TarInfo("database")
        info.size = 30_000_000
        tar.addfile(info, io.BytesIO(bytes(info.size)))
    assert bomb.stat().st_size < 300_000
    with tarfile.open(bomb) as tar:
        assert tar.next().size == 30_000_000  # what a reader that unpacks would have met
    with pytest.raises(BackupError, match="cut short, damaged"):
        read_manifest(bomb)


def test_a_sparse_file_is_not_filled_up(tmp_path):
    info = tarfile.TarInfo("database")
    info.pax_headers = {"GNU.sparse.size": "1200000000", "GNU.sparse.numblocks": "1", "GNU.sparse.map": "0,1"}
    source = build(tmp_path / "bomb.tar", plain(PHOTO), (info, b"x"))
    with tarfile.open(source) as tar:
        assert tar.getmember("database").size == 1_200_000_000  # what a reader that fills up would have met
    with pytest.raises(BackupError, match="database was altered"):
        restore(source, tmp_path / "out")
    assert not (tmp_path / "out/database").exists()


def test_a_size_below_nothing_ends_in_words(backup):
    """The member's size is -10,240: a reader that adds it up meets the same member for ever."""
    with tarfile.open(backup) as tar:
        at = tar.getmember("database").offset
    content = bytearray(backup.read_bytes())
    content[at + 124 : at + 136] = b"\xff" + (256**11 - 10_240).to_bytes(11, "big")  # POSIX.1 ustar, base 256
    content[at + 148 : at + 156] = b"        "
    content[at + 148 : at + 156] = b"%06o\0 " % sum(content[at : at + 512])
    backup.write_bytes(content)
    with pytest.raises(BackupError):
        unpack(backup, read_manifest(backup))


def test_whatever_bit_is_flipped_nothing_false_comes_out(backup, tmp_path, record_property):
    """400 bits, one at a time: refused in words, or what came out is what went in (the bit was of some filling)."""
    whole, chance, refused = backup.read_bytes(), random.Random(7), 0
    for n in range(400):
        spoilt, at = bytearray(whole), chance.randrange(len(whole))
        spoilt[at] ^= 1 << chance.randrange(8)
        backup.write_bytes(spoilt)
        try:
            assert restore(backup, tmp_path / f"out{n}") == CONTENT
        except BackupError:
            refused += 1
    assert refused > 200
    record_property("tries", 400)
    backup.write_bytes(whole)
    assert restore(backup, tmp_path / "out") == CONTENT


def test_wherever_it_is_cut_it_is_refused(backup, tmp_path, record_property):
    record_property("tries", 100)
    whole = backup.read_bytes()
    end = whole.rindex(b"a photo") + 7
    for n, length in enumerate(random.Random(8).sample(range(end), 100)):
        backup.write_bytes(whole[:length])
        with pytest.raises(BackupError):
            restore(backup, tmp_path / f"out{n}")


@pytest.mark.parametrize("place", ["nowhere.tar", "."])
def test_what_is_no_file_is_told_in_words(place, tmp_path):
    with pytest.raises(BackupError, match=r"cannot be read: (No such file|Is a directory)"):
        read_manifest(tmp_path / place)
