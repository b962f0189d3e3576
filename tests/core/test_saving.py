"""Saving at hostile places: the old file or the new one, never a half, and words that say what to do."""

from __future__ import annotations

import os
import resource
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from core.errors import ProjectFileError
from core.project.application import Application
from core.project.project import Project
from core.project.project_file import read_project, write_project

ROOT = Path(__file__).resolve().parents[2]
ONE = Project(application=Application(title="One"))
OTHER = Project(application=Application(title="Other"))


def refused(path: Path) -> str:
    """Return the words with which saving is refused."""
    with pytest.raises(ProjectFileError) as caught:
        write_project(path, OTHER)
    assert str(path) in str(caught.value)
    return str(caught.value)


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_link_stays_a_link_and_its_file_gets_the_content(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    real, link = tmp_path / "far" / "real.json", tmp_path / "link.json"
    write_project(real, ONE)
    link.symlink_to(Path("far") / "real.json")
    write_project(link, OTHER)
    assert link.is_symlink()
    assert read_project(real) == OTHER
    assert names_in(tmp_path / "far") == ["real.json"]


def test_a_link_to_a_file_that_is_not_there_yet_makes_it(tmp_path: Path) -> None:
    link = tmp_path / "link.json"
    link.symlink_to("later.json")
    write_project(link, ONE)
    assert link.is_symlink()
    assert read_project(tmp_path / "later.json") == ONE


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_mode_bits_stay(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "p.json"
    write_project(path, ONE)
    path.chmod(mode)
    write_project(path, OTHER)
    assert stat.S_IMODE(path.stat().st_mode) == mode


def test_a_new_file_obeys_the_umask(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_project(tmp_path / "p.json", ONE)
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "p.json").stat().st_mode) == 0o640


def test_a_write_protected_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "p.json"
    write_project(path, ONE)
    path.chmod(0o444)
    assert "write-protected" in refused(path)
    assert read_project(path) == ONE


def test_a_folder_in_the_place_is_said(tmp_path: Path) -> None:
    (tmp_path / "p.json").mkdir()
    assert "a folder has this name" in refused(tmp_path / "p.json")
    assert names_in(tmp_path) == ["p.json"]


def test_a_pipe_in_the_place_is_neither_replaced_nor_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "p.json")
    assert "a pipe" in refused(tmp_path / "p.json")
    with pytest.raises(ProjectFileError, match="a pipe"):
        read_project(tmp_path / "p.json")


def test_a_device_without_end_is_not_read() -> None:
    with pytest.raises(ProjectFileError, match="a device"):
        read_project(Path("/dev/zero"))


def test_a_missing_folder_is_said(tmp_path: Path) -> None:
    assert "the folder is not there" in refused(tmp_path / "no" / "p.json")
    (tmp_path / "file").write_text("x")
    assert "the folder is not there" in refused(tmp_path / "file" / "p.json")


def test_a_name_of_the_longest_kind_works_and_a_longer_one_is_said(tmp_path: Path) -> None:
    longest = tmp_path / ("n" * 250 + ".json")
    write_project(longest, ONE)
    write_project(longest, OTHER)
    assert read_project(longest) == OTHER
    assert "shorter name" in refused(tmp_path / ("n" * 251 + ".json"))
    wide = tmp_path / ("Ω" * 125 + ".json")
    write_project(wide, ONE)
    assert names_in(tmp_path) == sorted([longest.name, wide.name])


def test_a_name_that_no_system_can_have_is_refused(tmp_path: Path) -> None:
    assert "null" in refused(tmp_path / "a\0b.json")
    with pytest.raises(ProjectFileError, match="cannot be read"):
        read_project(tmp_path / "a\0b.json")


def test_a_circle_of_links_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.json").symlink_to("b.json")
    (tmp_path / "b.json").symlink_to("a.json")
    refused(tmp_path / "a.json")
    assert names_in(tmp_path) == ["a.json", "b.json"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_the_right_to_write_is_said(tmp_path: Path) -> None:
    write_project(tmp_path / "p.json", ONE)
    tmp_path.chmod(0o500)
    try:
        assert "you may not write in this folder" in refused(tmp_path / "p.json")
    finally:
        tmp_path.chmod(0o700)
    assert read_project(tmp_path / "p.json") == ONE


def test_half_a_character_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    write_project(tmp_path / "p.json", ONE)
    with pytest.raises(ProjectFileError, match="half a character"):
        replace(ONE.application, title="\ud83d")
    assert names_in(tmp_path) == ["p.json"]


SAVE = """
import resource, sys
from pathlib import Path
from msgspec.structs import replace
from core.errors import ProjectFileError
from core.project.project_file import read_project, write_project
path = Path(sys.argv[1])
project = read_project(path)
longer = replace(project, application=replace(project.application, notes="n" * 20_000))
if len(sys.argv) > 2:
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), int(sys.argv[2])))
try:
    write_project(path, longer)
except ProjectFileError as error:
    print(error)
"""


def save_longer(path: Path, *limit: str) -> str:
    """Save a longer project in a process of its own, and return what it says."""
    done = subprocess.run(
        [sys.executable, "-c", SAVE, str(path), *limit],
        cwd=ROOT, capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    return done.stdout


@pytest.mark.parametrize("limit", [0, 1, 4096, 15_000])
def test_a_disk_that_ends_in_the_middle_leaves_the_old_file(tmp_path: Path, limit: int) -> None:
    """The size of a file is limited for the process, so writing stops as on a full disk: by the system."""
    path = tmp_path / "p.json"
    write_project(path, ONE)
    before = path.read_bytes()
    said = save_longer(path, str(limit))
    assert str(path) in said
    assert "make room there, or save to another place" in said
    assert path.read_bytes() == before
    assert names_in(tmp_path) == ["p.json"]
    assert save_longer(path) == ""
    assert len(path.read_bytes()) > 20_000


def test_the_limit_of_the_test_holds_for_the_other_process_only() -> None:
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == resource.RLIM_INFINITY


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may mount")
def test_a_full_disk_leaves_the_old_file(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=32k", "tmpfs", str(disk)]
    if subprocess.run(mount, check=False, capture_output=True).returncode != 0:
        pytest.skip("a disk of its own cannot be mounted here")
    try:
        path = disk / "p.json"
        write_project(path, ONE)
        before = path.read_bytes()
        (disk / "filling").write_bytes(b"x" * 20_000)
        assert "make room there" in save_longer(path)
        assert path.read_bytes() == before
        assert names_in(disk) == ["filling", "p.json"]
    finally:
        subprocess.run(["umount", str(disk)], check=True)
