"""Commands that write: whole files or none; and files that may not be read. Each new text is written beside its place, handed to the disk (fsync), and then renamed,
watched by strace; and in a folder where nothing can be written, the old file stays, with the reason told."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = os.environ["GLIMLOOM"]
TOP = Path(__file__).resolve().parents[2]
PLAN = (TOP / "docs/examples/signal-cabin.harness").read_text()
# Laid out otherwise than it should be, so that there is something to write.
CROOKED = re.sub(r"(?m)^(lamp|joint) +", r"\1          ", PLAN)

# What is called, and which file it writes.
CALLS = [
    (["format", "plan.harness"], "plan.harness"),
    (["sheet", "plan.harness", "-o", "new.html"], "new.html"),
    (["sheet", "plan.harness", "-o", "old.html"], "old.html"),
    (["draw", "plan.harness", "-o", "new.svg"], "new.svg"),
    (["sheet", "plan.harness", "-o", "own.txt", "--force"], "own.txt"),
]


def laid(folder):
    (folder / "plan.harness").write_text(CROOKED)
    (folder / "own.txt").write_text("somebody's own\n")
    (folder / "old.html").write_text("")


def written_whole(folder, arguments, target):
    """What is wrong with how a file is written, in words."""
    log = folder.parent / "calls"
    calls = "trace=openat,creat,truncate,ftruncate,fsync,fdatasync,rename,renameat,renameat2,linkat,unlink,unlinkat"
    done = subprocess.run(["strace", "-f", "-qq", "-s", "4096", "-e", calls, "-o", log, PROGRAM, *arguments],
                          cwd=folder, capture_output=True, text=True)
    if done.returncode != 0:
        return f"{arguments}: status {done.returncode}: {done.stderr}"
    steps = []
    for line in log.read_text().splitlines():
        call = line.split(None, 1)[1]
        if call.startswith("openat") and re.search(r"O_(WRONLY|RDWR)", call):
            steps.append("beside" if "O_CREAT|O_EXCL" in call and f'{target}"' not in call else f"opened: {call}")
        elif call.startswith(("fsync", "fdatasync")):
            steps.append("to the disk")
        elif call.startswith("rename"):
            steps.append("renamed" if f'{target}"' in call and call.endswith("= 0") else f"renamed: {call}")
        elif call.startswith(("creat", "truncate", "ftruncate", "unlink", "linkat")):
            steps.append(call)
    if steps != ["beside", "to the disk", "renamed"]:
        return f"{arguments}: {steps}"
    return None


def kept(folder, arguments):
    """What is wrong where the folder cannot be written in."""
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    done = call(folder, arguments)
    after = {path.name: path.read_bytes() for path in folder.iterdir()}
    name = arguments[-1] if arguments[-1] != "--force" else arguments[-2]
    if after != before:
        return f"{arguments}: the folder is not as it was"
    if done.returncode != 2 or name not in done.stderr:
        return f"{arguments}: status {done.returncode}, said {done.stderr!r}"
    return None


def said_of_what_may_not_be_read(top):
    """What is wrong where a used file may not be read."""
    folder = top / "private"
    folder.mkdir()
    (folder / "plan.harness").write_text('use "stock.harness"\n')
    (folder / "stock.harness").write_text("led secret drops 3 V at 20 mA\n")
    (folder / "stock.harness").chmod(0o000)
    done = call(folder, ["check", "plan.harness"])
    if done.returncode != 1 or "stock.harness" not in done.stdout + done.stderr or "secret" in done.stdout + done.stderr:
        return f"a used file that may not be read: status {done.returncode}, said {done.stdout!r} {done.stderr!r}"
    return None


def call(folder, arguments):
    """A call by somebody who is not root: who is can read and write everywhere."""
    user = {"user": 65534, "group": 65534, "extra_groups": []} if os.geteuid() == 0 else {}
    return subprocess.run([folder.parent / "glimloom", *arguments], cwd=folder, capture_output=True, text=True, **user)


def main():
    wrong = []
    with tempfile.TemporaryDirectory() as top:
        top = Path(top).resolve()
        top.chmod(0o755)
        for arguments, target in CALLS:
            folder = top / "model"
            folder.mkdir()
            laid(folder)
            wrong.append(written_whole(folder, arguments, target))
            shutil.rmtree(folder)
        shutil.copy(PROGRAM, top / "glimloom")
        (top / "glimloom").chmod(0o755)
        folder = top / "locked"
        folder.mkdir()
        laid(folder)
        for path in folder.iterdir():
            path.chmod(0o666)
        folder.chmod(0o555)
        wrong += [kept(folder, arguments) for arguments, _ in CALLS]
        folder.chmod(0o755)
        wrong.append(said_of_what_may_not_be_read(top))
    wrong = [what for what in wrong if what]
    if wrong:
        print("\n".join(wrong), file=sys.stderr)
        return 1
    print(f"{len(CALLS)} calls write whole files, and leave all as it was where they cannot")
    return 0


sys.exit(main())
