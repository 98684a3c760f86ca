"""Starts a LibreOffice of its own and connects to it; runs in LibreOffice's Python."""

import subprocess
import time
import uuid


def office(profile):
    import uno
    from com.sun.star.connection import NoConnectException

    pipe = "lc" + uuid.uuid4().hex
    words = [
        "soffice",
        "--headless",
        "--norestore",
        f"--accept=pipe,name={pipe};urp",
        f"-env:UserInstallation={profile}",
    ]
    silent = subprocess.DEVNULL
    process = subprocess.Popen(words, stdout=silent, stderr=silent)
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            return process, resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except NoConnectException:
            time.sleep(0.25)
    raise SystemExit("LibreOffice did not answer")
