"""The wheels hold all that the packages need when they are installed without the repository."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest


@pytest.mark.parametrize("package", ["service", "sdk"])
def test_the_wheel_holds_every_file_of_the_package(root: Path, tmp_path: Path, package: str) -> None:
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(tmp_path)]
    subprocess.run(build, cwd=root / package, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    source = root / package / "src"
    expected = {
        path.relative_to(source).as_posix()
        for path in source.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert held == expected
    assert any(name.endswith("py.typed") for name in held)
