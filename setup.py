"""What the build does beside ``pyproject.toml``: the demos of ``specs`` go into the wheel."""

import shutil
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py

HERE = Path(__file__).parent


class BuildWithDemos(build_py):
    """Copies the demos beside the command line; a tree that is worked on reads them where they are."""

    def run(self):
        """Build as ever, then add the demos."""
        super().run()
        if not getattr(self, "editable_mode", False):
            target = Path(self.build_lib) / "generators" / "cli" / "demos"
            target.mkdir(parents=True, exist_ok=True)
            for path in sorted((HERE / "specs").glob("*.toml")):
                shutil.copyfile(path, target / path.name)


setup(cmdclass={"build_py": BuildWithDemos})
