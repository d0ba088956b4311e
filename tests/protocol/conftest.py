"""Editors for the tests. At its end each is shut down as the protocol wants it, and whatever was wrong on the way fails the test."""

import copy
import sys
from pathlib import Path

import pytest
import pytest_asyncio

sys.path.insert(0, str(Path(__file__).resolve().parent))

import plans  # noqa: E402
from clients import able, made  # noqa: E402
from editor import Editor  # noqa: E402


@pytest_asyncio.fixture
async def editor_of():
    """Makes editors: of given capabilities, folders and start options."""
    editors = []

    async def make(capabilities=None, folders=(), options=None):
        editor = Editor()
        editors.append(editor)
        said = able() if capabilities is None else copy.deepcopy(capabilities)
        await editor.begin(made(said) if isinstance(said, dict) else said, list(folders), options)
        return editor

    yield make
    for editor in editors:
        await editor.end()


@pytest.fixture(params=["utf-8", "utf-16", "utf-32"])
def encoding(request):
    """What the columns of an editor count: a test that asks for it is run with each."""
    return request.param


class Port:
    """A folder with the stock in a file of its own, and the addresses of the plans beside it."""

    def __init__(self, folder: Path):
        self.folder = folder
        (folder / "stock.harness").write_text(plans.STOCK)
        self.stock = self.uri("stock.harness")
        self.tug = self.uri("tug.harness")

    def uri(self, name: str) -> str:
        return (self.folder / name).as_uri()

    def write(self, name: str, text: str) -> str:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode())
        return path.as_uri()


@pytest.fixture
def port(tmp_path):
    return Port(tmp_path)


@pytest_asyncio.fixture
async def tug(editor_of, port, encoding):
    """An editor that can do everything, with the tug open, in each encoding."""
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.TUG)
    return editor


def pytest_collection_modifyitems(config, items):
    """What the whole run has shown comes last, and only where it is the whole."""
    last = [item for item in items if item.module.__name__ == "test_every_feature"]
    items[:] = [item for item in items if item not in last] + last
    here = Path(__file__).parent
    if config.option.keyword or [Path(arg.split("::")[0]).resolve() for arg in config.args] != [here]:
        items[:] = [item for item in items if item.name != "test_every_feature_was_answered_with_something"]
