"""Read and write one saved value as JSON: strict on types, keeping unknown keys, never half written.

Every refusal names the place (`$.application.duty_cycle[2].duration_s`), the rule and the value.
"""

from __future__ import annotations

import contextlib
import errno
import functools
import glob
import os
import re
import stat
import types
import typing
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from core.errors import AmpturnError, InputRangeError, NewerVersionError, ProjectFileError
from core.project.saved import UNKNOWN_KEYS, Saved

LARGEST_FILE = 4_000_000  # [bytes]; a project with hundreds of segments has under 200 kB
Migration = Callable[[dict[str, Any]], dict[str, Any]]
SavedType = TypeVar("SavedType", bound=Saved)


def read_bytes(path: Path, largest: int = LARGEST_FILE) -> bytes:
    """Return the content of a file, refusing one that cannot be ours by its size or cannot be read."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):  # a pipe would be waited for, a device has no end
            raise ProjectFileError(
                str(path), "cannot be read: it is a folder, a pipe or a device, not a file"
            )
        size = found.st_size
        if size > largest:
            raise ProjectFileError(
                str(path), f"a file may have at most {largest / 1e6:g} MB", f"{size / 1e6:.1f} MB", True
            )
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, ProjectFileError):
            raise
        raise ProjectFileError(str(path), f"cannot be read ({_reason(error)})") from error


def decode(
    content: bytes, kind: type[SavedType], format_name: str, version: int, migrations: Mapping[int, Migration]
) -> SavedType:
    """Return the saved value in `content`.

    `migrations[n]` turns a document of version n into one of version n + 1.

    Raises `NewerVersionError` for a later version, `ProjectFileError` for everything else.
    """
    raw = _parse(content)
    found = _version_of(raw, format_name, version)
    for old in range(found, version):
        raw = migrations[old](raw)
    raw["version"] = version
    return convert(raw, kind)


def convert(raw: object, kind: type[SavedType]) -> SavedType:
    """Turn parsed JSON into a saved value; the error names place, rule and value."""
    try:
        return msgspec.convert(_keep_unknown_keys(raw, kind), kind, strict=True)
    except msgspec.ValidationError as error:
        raise _explained(error, raw) from error


def encode(value: Saved) -> bytes:
    """Return the JSON text of a saved value: sorted keys, two blanks of indent, absent fields left out."""
    plain = _written(msgspec.to_builtins(value))
    return msgspec.json.format(msgspec.json.encode(plain, order="sorted"), indent=2) + b"\n"


def write_bytes(path: Path, content: bytes, check: Callable[[bytes], bool]) -> None:
    """Replace a file in one step, after reading back what was written.

    The old file stays as it is until the new one is complete on the disk and `check` has accepted
    what reads back. Symbolic links are followed, so the link stays a link, and the mode bits stay.
    """
    temporary: Path | None = None
    try:
        target = Path(os.path.realpath(path))
        mode = _mode_to_keep(path, target)
        temporary = target.with_name(f"{_half_written_name(target)}.{os.urandom(4).hex()}.new")
        # nobody reads a private file while it is made; a new one gets what the umask leaves
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666 if mode is None else 0o600)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if not check(temporary.read_bytes()):
            raise ProjectFileError(
                str(path), "what was written does not read back the same; the old file is kept"
            )
        if mode is not None:
            temporary.chmod(mode)
        temporary.replace(target)
        _sync_folder(target.parent)
    except (OSError, ValueError) as error:
        if isinstance(error, AmpturnError):
            raise
        raise ProjectFileError(str(path), f"cannot be written ({_reason(error)}){_remedy(error)}") from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def half_written(path: Path) -> list[Path]:
    """Return what was left beside a file by a process that ended in the middle of writing it.

    One that is still being written looks the same: whoever removes them must know that nobody is at it.
    """
    target = Path(os.path.realpath(path))
    pattern = f"{glob.escape(_half_written_name(target))}.{'[0-9a-f]' * 8}.new"
    found = (place for place in target.parent.glob(pattern) if not place.is_symlink())
    return sorted(place for place in found if place.is_file())


def _half_written_name(target: Path) -> str:
    # of a bounded length, so that a name that the disk just allows can be saved to
    return f".{target.name[:40]}"


def _mode_to_keep(path: Path, target: Path) -> int | None:
    """Return the mode bits of the file to be replaced, None where there is none yet."""
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(mode):
        raise ProjectFileError(str(path), "cannot be written: a folder has this name; save under another one")
    if not stat.S_ISREG(mode):
        raise ProjectFileError(
            str(path), "cannot be written: it is a pipe or a device; save under another name"
        )
    if not mode & 0o222:
        # replacing it would work, but whoever took away the right to write meant it
        raise ProjectFileError(
            str(path),
            "cannot be written: the file is write-protected; save under another name or allow writing",
        )
    return stat.S_IMODE(mode)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power failure, where the system allows it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _remedy(error: Exception) -> str:
    """Say what can be done about a failure to write, where something can."""
    number = error.errno if isinstance(error, OSError) else None
    if number in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return ": make room there, or save to another place"
    if number in (errno.EACCES, errno.EPERM, errno.EROFS):
        return ": you may not write in this folder; save to another one"
    if number in (errno.ENOENT, errno.ENOTDIR):
        return ": the folder is not there; save to another one or make it"
    if number == errno.ENAMETOOLONG:
        return ": save under a shorter name"
    return ""


def unknown_places(value: Saved, place: str = "$") -> list[str]:
    """Return the places of the keys that were kept though this version does not know them."""
    found = [f"{place}.{key}" for key in value.unknown_keys]
    for field in msgspec.structs.fields(value):
        content = getattr(value, field.name)
        if isinstance(content, Saved):
            found += unknown_places(content, f"{place}.{field.encode_name}")
        elif isinstance(content, tuple):
            for index, item in enumerate(content):
                if isinstance(item, Saved):
                    found += unknown_places(item, f"{place}.{field.encode_name}[{index}]")
    return found


def _parse(content: bytes) -> dict[str, Any]:
    try:
        raw = msgspec.json.decode(content)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        place = "$"
        if byte := re.search(r"byte (\d+)", str(error)):
            place = _position(content, int(byte[1]))
        raise ProjectFileError(place, f"is not valid JSON ({error})") from error
    if not isinstance(raw, dict):
        raise ProjectFileError("$", "must be a JSON object", raw, True)
    return raw


def _position(content: bytes, offset: int) -> str:
    before = content[:offset]
    return f"line {before.count(10) + 1}, column {offset - before.rfind(10)}"


def _version_of(raw: dict[str, Any], format_name: str, version: int) -> int:
    if raw.get("format") != format_name:
        raise ProjectFileError("$.format", f'must be "{format_name}"', raw.get("format"), True)
    found = raw.get("version")
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise ProjectFileError("$.version", "must be a whole number >= 1", found, True)
    if found > version:
        raise NewerVersionError(
            "$.version",
            f"was written by a later version of Ampturn; this one reads up to {version}",
            found,
            True,
        )
    return found


def _explained(error: msgspec.ValidationError, raw: object) -> ProjectFileError:
    """Return the message of msgspec as place, rule and value."""
    text, _, place = str(error).partition(" - at ")
    place = place.strip("`") or "$"
    cause = error.__cause__
    if isinstance(cause, ProjectFileError):
        return ProjectFileError(f"{place}.{cause.place}", cause.rule, cause.value, cause.value is not None)
    if isinstance(cause, InputRangeError):
        return ProjectFileError(place, str(cause))
    has_value, value = _at(raw, place)
    return ProjectFileError(place, _plain_rule(text), value, has_value)


def _plain_rule(text: str) -> str:
    """Return the rule in plain words.

    Examples
    --------
    >>> _plain_rule("Expected `float` > 0.0")
    'must be a number > 0'
    >>> _plain_rule("Object missing required field `duration_s`")
    'lacks duration_s'
    """
    words = {"float": "a number", "int": "a whole number", "str": "a text", "bool": "true or false",
             "array": "a list", "object": "an object"}  # fmt: skip
    text = text.replace("Object missing required field ", "lacks ").replace("Invalid value", "must not be")
    if expected := re.match(r"Expected `(\w+)(?: \| null)?`(?:, got `\w+`)?(.*)", text):
        text = f"must be {words.get(expected[1], expected[1])}{expected[2]}"
    return re.sub(r"(\d)\.0\b", r"\1", text.replace("`", ""))


def _at(raw: object, place: str) -> tuple[bool, object]:
    """Return whether there is a value at a place like `$.a[0].b`, and the value."""
    for key, index in re.findall(r"\.([^.\[\]]+)|\[(\d+)\]", place):
        try:
            raw = raw[key] if key else raw[int(index)]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            return False, None
    return not isinstance(raw, dict | list), raw


def _keep_unknown_keys(raw: Any, kind: Any) -> Any:
    """Move the keys that `kind` does not know into its `unknown_keys`, at every depth."""
    if isinstance(raw, list):
        item = next((a for a in typing.get_args(kind) if a is not Ellipsis), None)
        return [_keep_unknown_keys(entry, item) for entry in raw]
    struct = _struct_for(kind, raw) if isinstance(raw, dict) else None
    if struct is None:
        return raw
    known, tag = _json_fields(struct)
    kept: dict[str, Any] = {}
    result: dict[str, Any] = {UNKNOWN_KEYS: kept}
    for key, entry in raw.items():
        if key == tag:
            result[key] = entry
        elif key in known:
            result[key] = _keep_unknown_keys(entry, known[key])
        elif key != UNKNOWN_KEYS:
            kept[key] = entry
    return result


def _struct_for(kind: Any, raw: dict[str, Any]) -> type[Saved] | None:
    """Return the saved type that an object is read as, choosing among tagged types by the tag."""
    options = typing.get_args(kind) if typing.get_origin(kind) in (typing.Union, types.UnionType) else (kind,)
    structs = [option for option in options if isinstance(option, type) and issubclass(option, Saved)]
    if len(structs) <= 1:
        return structs[0] if structs else None
    for struct in structs:
        config = struct.__struct_config__
        if config.tag_field is not None and raw.get(config.tag_field) == config.tag:
            return struct
    return None


@functools.cache
def _json_fields(struct: type[Saved]) -> tuple[dict[str, Any], str | None]:
    hints = typing.get_type_hints(struct)
    fields = {
        f.encode_name: hints[f.name] for f in msgspec.structs.fields(struct) if f.name != "unknown_keys"
    }
    return fields, struct.__struct_config__.tag_field


def _written(plain: Any) -> Any:
    """Put kept keys back in their place and leave absent fields out."""
    if isinstance(plain, list | tuple):
        return [_written(entry) for entry in plain]
    if not isinstance(plain, dict):
        return plain
    kept = plain.get(UNKNOWN_KEYS, {})
    known = {k: _written(v) for k, v in plain.items() if k != UNKNOWN_KEYS and v is not None}
    return {**kept, **known}
