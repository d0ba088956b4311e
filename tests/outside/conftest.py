"""The summary line: the largest differences that were seen."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))


def pytest_terminal_summary(terminalreporter):
    module = sys.modules.get("test_figures")
    if module is None or not module.LARGEST:
        return
    for key, (off, where) in sorted(module.LARGEST.items()):
        terminalreporter.write_line(f"largest difference in {key}: {off:.3g} ({where})")
