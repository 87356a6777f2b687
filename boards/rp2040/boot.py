# Alone in blocks 0 and 1 of the flash. The files are in blocks 2 to 99, the journal is behind them.
import time

import rp2
import vfs

vfs.umount("/")
try:
    vfs.mount(vfs.VfsLfs2(rp2.Flash(start=8192, len=401408), progsize=256), "/")  # type: ignore[abstract]
except OSError:
    while True:
        print("downlock: held DOWN: no file system; install again")
        time.sleep(1)
