"""The whole record as one archive, and an archive brought into a record.

A zip: `manifest.json` names every other member with its size and SHA-256; `tables/NAME.jsonl` has one row a line;
`files/SHA256.ending` are the kept files. Nothing is taken from an archive that does not match its manifest.
"""

import hashlib
import io
import json
import os
import re
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, NamedTuple

from sqlalchemy import Connection, Table, select

from steadyhead.bench.kept_files import CHUNK_BYTES, keep, kept_path, make_folder, parts_of, sync_folder
from steadyhead.bench.moment import now
from steadyhead.bench.record import Record, put
from steadyhead.bench.refusals import told
from steadyhead.bench.tables import HEAD, metadata
from steadyhead.words.errors import InputError

READABLE = ("r0001", "r0002", HEAD)
"""Schemas of archives that can be taken: what came after the first is tables that an older archive lacks."""
LATER = ("log_note", "reading_note")
FORMAT, VERSION = "steadyhead record", 1
MANIFEST = "manifest.json"
TABLE_MEMBER = re.compile(r"tables/([a-z_]+)\.jsonl")
FILE_MEMBER = re.compile(r"files/([0-9a-f]{64})\.([a-z0-9]{1,8})")
SHA256 = re.compile(r"[0-9a-f]{64}")
LARGEST_MANIFEST_BYTES = 16 << 20
LARGEST_TABLE_BYTES = 1 << 30
LARGEST_GROWTH = 200
"""Rows pack 3- to 30-fold; a table that unpacks to more than this many times its packed size is none."""
GROWTH_FROM_BYTES = 1 << 20
"""A table smaller than this may pack as it likes."""
MAY_DIFFER = {"added_on", "file_name", "name"}
"""Columns that say when and under which file name a content was kept: the first one stays."""
RIGHT = "an archive that `steadyhead record export` wrote, whole"


@dataclass(frozen=True, kw_only=True)
class Exported:
    """An archive as written."""

    archive: Path
    schema: str
    rows: dict[str, int]
    """Rows of each table."""
    files: int
    bytes: int


@dataclass(frozen=True, kw_only=True)
class Imported:
    """What an archive brought into the record."""

    archive: Path
    record: Path
    rows_added: dict[str, int]
    rows_known: dict[str, int]
    """Rows that were there already, word for word."""
    files_added: int


class _Member(NamedTuple):
    """One member as the manifest names it."""

    name: str
    bytes: int
    sha256: str


def export(record: Record, path: Path) -> Exported:
    """Write everything in the record as one archive; it appears whole under its name or not at all.

    Raises: InputError when a kept file is missing or damaged, or the disk refuses.
    """
    rows = {}
    with told(path), record.reading() as connection:
        make_folder(path.parent)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        try:
            with os.fdopen(handle, "w+b") as file:
                with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                    members = []
                    for table in metadata.sorted_tables:
                        lines = [json.dumps(row, ensure_ascii=False) for row in _rows(connection, table)]
                        rows[table.name] = len(lines)
                        data = "".join(f"{line}\n" for line in lines).encode()
                        members.append(_put(archive, f"tables/{table.name}.jsonl", [data]))
                    members.extend(_put_files(archive, record, connection))
                    archive.writestr(MANIFEST, json.dumps(_manifest(members), indent=1))
                file.flush()
                os.fsync(file.fileno())
            os.replace(name, path)
            sync_folder(path.parent)
        finally:
            Path(name).unlink(missing_ok=True)
        return Exported(archive=path, schema=HEAD, rows=rows, files=rows["kept_file"], bytes=path.stat().st_size)


def _manifest(members: Iterable[_Member]) -> dict[str, Any]:
    listed = [member._asdict() for member in members]
    return {"format": FORMAT, "version": VERSION, "schema": HEAD, "written_on": now(), "members": listed}


def _rows(connection: Connection, table: Table) -> list[dict[str, Any]]:
    key = next(iter(table.primary_key.columns))
    return [dict(row._mapping) for row in connection.execute(select(table).order_by(key))]


def _put_files(archive: zipfile.ZipFile, record: Record, connection: Connection) -> Iterator[_Member]:
    """Add every kept file, refusing one that is gone or no longer what it was."""
    for row in _rows(connection, metadata.tables["kept_file"]):
        path = kept_path(record.files, row["sha256"], row["ending"])
        if not path.is_file():
            raise InputError(str(path), read="no such file, though the record names it", right="the file of a backup")
        member = _put(archive, f"files/{path.name}", parts_of(path))
        if member.sha256 != row["sha256"]:
            raise InputError(str(path), read="another content than the record names", right="the file of a backup")
        yield member


def _put(archive: zipfile.ZipFile, name: str, parts: Iterable[bytes]) -> _Member:
    digest, size = hashlib.sha256(), 0
    with archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as member:
        for part in parts:
            digest.update(part)
            size += len(part)
            member.write(part)
    return _Member(name, size, digest.hexdigest())


def refuse_unfit(path: Path) -> None:
    """Refuse an archive that no record could take, before one is made for it.

    Raises: InputError when the archive is not whole, not ours or from a newer steadyhead.
    """
    with told(path), _archive(path) as archive:
        members = _members(archive, path)
        rows = {table.name: _table_rows(archive, members, table, path) for table in metadata.sorted_tables}
        _fits(rows, members, path)
        for name, member in members.items():
            if FILE_MEMBER.fullmatch(name):
                for _ in _parts(archive, member, path):
                    pass


def import_(record: Record, path: Path) -> Imported:
    """Bring an archive into the record: all of it or nothing. Rows that are there already stay as they are.

    Raises: InputError when the archive is not whole, not ours, from a newer steadyhead, or contradicts the record.
    """
    added, known = {}, {}
    with told(path), _archive(path) as archive:
        members = _members(archive, path)
        rows = {table.name: _table_rows(archive, members, table, path) for table in metadata.sorted_tables}
        _fits(rows, members, path)
        files = _take_files(archive, members, record, path)
        with record.writing() as connection:
            for table in metadata.sorted_tables:
                fresh = _fresh(connection, table, rows[table.name], path)
                for row in fresh:
                    put(connection, table, row)
                added[table.name] = len(fresh)
                known[table.name] = len(rows[table.name]) - len(fresh)
                _all_there(connection, table, rows[table.name], path)
    return Imported(archive=path, record=record.path, rows_added=added, rows_known=known, files_added=files)


def _archive(path: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(path)
    except FileNotFoundError as error:
        raise InputError(str(path), read="no such file", right=RIGHT) from error
    except zipfile.BadZipFile as error:
        raise InputError(str(path), read="a file that is no zip, or only part of one", right=RIGHT) from error


def _members(archive: zipfile.ZipFile, path: Path) -> dict[str, _Member]:
    """Return what the manifest names, once it is sure that the zip holds exactly that and nothing outside its place."""
    names = archive.namelist()
    strange = [name for name in names if name != MANIFEST and not _is_ours(name)]
    if strange or len(set(names)) != len(names) or MANIFEST not in names:
        read = f"a member {strange[0]!r}" if strange else "a member twice, or no manifest.json"
        raise InputError(str(path), read=read, right=RIGHT)
    manifest = _json(_taken(archive, _Member(MANIFEST, LARGEST_MANIFEST_BYTES, ""), path), path)
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise InputError(str(path), read="a zip without our manifest", right=RIGHT)
    if manifest.get("version") != VERSION or manifest.get("schema") not in READABLE:
        read = f"version {manifest.get('version')}, schema {manifest.get('schema')} of another steadyhead"
        raise InputError(str(path), read=read, right=f"version {VERSION}, schema {HEAD}: use the same steadyhead")
    members = {member.name: member for member in _listed(manifest.get("members"), path)}
    if set(members) != set(names) - {MANIFEST}:
        raise InputError(str(path), read="members that the manifest does not name, or lacks", right=RIGHT)
    return members


def _is_ours(name: str) -> bool:
    found = TABLE_MEMBER.fullmatch(name)
    return found.group(1) in metadata.tables if found else FILE_MEMBER.fullmatch(name) is not None


def _listed(members: object, path: Path) -> Iterator[_Member]:
    for one in members if isinstance(members, list) else [None]:
        match one:
            case {"name": str(name), "bytes": int(size), "sha256": str(digest)} if size >= 0:
                yield _Member(name, size, digest)
            case _:
                raise InputError(str(path), read="a manifest that names no members", right=RIGHT)


def _parts(archive: zipfile.ZipFile, member: _Member, path: Path) -> Iterator[bytes]:
    """Yield a member, never more of it than its manifest allows, and refuse it when it is not what that says."""
    digest, left = hashlib.sha256(), member.bytes
    try:
        with archive.open(member.name) as file:
            while part := _read(file):
                left -= len(part)
                if left < 0:
                    break
                digest.update(part)
                yield part
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise InputError(str(path), read=f"a damaged member {member.name} ({error})", right=RIGHT) from error
    if member.sha256 and (left != 0 or digest.hexdigest() != member.sha256):
        raise InputError(str(path), read=f"{member.name} with another content than its manifest says", right=RIGHT)
    if left < 0:
        raise InputError(str(path), read=f"{member.name} of more than {member.bytes} bytes", right=RIGHT)


def _read(file: IO[bytes]) -> bytes:
    return file.read(CHUNK_BYTES)


def _taken(archive: zipfile.ZipFile, member: _Member, path: Path) -> bytes:
    if member.bytes > LARGEST_TABLE_BYTES:
        raise InputError(str(path), read=f"{member.name} of {member.bytes} bytes", right="a smaller table")
    packed = archive.getinfo(member.name).compress_size
    if member.sha256 and member.bytes > max(GROWTH_FROM_BYTES, LARGEST_GROWTH * packed):
        read = f"{member.name} of {packed} bytes that unpacks to {member.bytes}"
        raise InputError(str(path), read=read, right=RIGHT)
    held = io.BytesIO()
    for part in _parts(archive, member, path):
        held.write(part)
    return held.getvalue()


def _json(data: bytes, path: Path) -> Any:
    try:
        return json.loads(data.decode(), parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise InputError(str(path), read=f"a line that is no JSON ({error})", right=RIGHT) from error


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _table_rows(
    archive: zipfile.ZipFile, members: Mapping[str, _Member], table: Table, path: Path
) -> list[dict[str, Any]]:
    member = members.get(f"tables/{table.name}.jsonl")
    if member is None and table.name in LATER:
        return []
    if member is None:
        raise InputError(str(path), read=f"no table {table.name}", right=RIGHT)
    rows = [_json(line, path) for line in _taken(archive, member, path).splitlines()]
    wanted = {column.name for column in table.columns}
    for row in rows:
        if not isinstance(row, dict) or set(row) != wanted:
            raise InputError(str(path), read=f"a row of {table.name} with other columns", right=RIGHT)
        if any(isinstance(value, dict | list) for value in row.values()):
            raise InputError(str(path), read=f"a row of {table.name} with a list in it", right=RIGHT)
    return rows


def _fits(rows: Mapping[str, list[dict[str, Any]]], members: Mapping[str, _Member], path: Path) -> None:
    """Refuse rows whose content does not carry the name that it is kept under."""
    for row in rows["machine_revision"]:
        if hashlib.sha256(str(row["text"]).encode()).hexdigest() != row["id"]:
            raise InputError(str(path), read=f"machine revision {row['id']} with another text", right=RIGHT)
    files = {f"files/{row['sha256']}.{row['ending']}" for row in rows["kept_file"]}
    there = {name for name in members if FILE_MEMBER.fullmatch(name)}
    if files != there:
        raise InputError(str(path), read="kept files that its tables do not name, or lack", right=RIGHT)
    for name in there:
        if members[name].sha256 != name[len("files/") :].partition(".")[0]:
            raise InputError(str(path), read=f"{name} under the name of another content", right=RIGHT)


def _take_files(archive: zipfile.ZipFile, members: Mapping[str, _Member], record: Record, path: Path) -> int:
    """Keep every file of the archive that is not there yet."""
    taken = 0
    for name, member in members.items():
        found = FILE_MEMBER.fullmatch(name)
        if found and not kept_path(record.files, found.group(1), found.group(2)).exists():
            keep(record.files, _parts(archive, member, path), found.group(2))
            taken += 1
    return taken


def _fresh(connection: Connection, table: Table, rows: list[dict[str, Any]], path: Path) -> list[dict[str, Any]]:
    """Return the rows that are not there yet; refuse one that is there with other words in it."""
    key = next(iter(table.primary_key.columns))
    there = {row[key.name]: row for row in _rows(connection, table)}
    fresh = []
    for row in rows:
        old = there.get(row[key.name])
        if old is None:
            fresh.append(row)
        elif any(old[name] != value for name, value in row.items() if name not in MAY_DIFFER):
            raise InputError(
                str(path), read=f"a row of {table.name} that contradicts the record", right="an archive of this record"
            )
    return fresh


def _all_there(connection: Connection, table: Table, rows: list[dict[str, Any]], path: Path) -> None:
    """Refuse an archive of which some row could not be added: a run that was carried on in two places."""
    key = next(iter(table.primary_key.columns))
    there = set(connection.execute(select(key)).scalars())
    if any(row[key.name] not in there for row in rows):
        raise InputError(
            str(path),
            read=f"rows of {table.name} that the record has under another name: carried on in two places",
            right="an archive from before that, or a new record: --record FILE",
        )
