"""The yard's server and its files, under one work folder: begun, killed, drained and begun again by the story.

Only the process started here is ever ended, by its own number. It runs in the work folder, so that what it says of its files
reads the same everywhere.
"""
import shutil
import signal
import subprocess
import time

LONGEST_START_S = 20
LONGEST_DRAIN_S = 20


class HouseError(Exception):
    """The server did not do what it was told."""


class House:
    def __init__(self, program, work, yard, safety_lead, start):
        self.program = str(program)
        self.work = work
        self.data = work / "data"
        self.yard = work / "yard"       # a copy: the story changes it
        self.token_file = work / "first.token"
        self.safety_lead, self.start_time = safety_lead, start
        self.process = None
        self.address = ""
        self.ready_ms = []
        shutil.copytree(yard, self.yard)

    def _run(self, words):
        return subprocess.run([self.program, *words], cwd=self.work, stdin=subprocess.DEVNULL, capture_output=True,
                              text=True, timeout=LONGEST_START_S, check=False)

    def init(self, data, token_file, rehearsal):
        words = ["init", "--yard", self.yard.name, "--data", data.name, "--as", self.safety_lead,
                 "--token-file", token_file.name]
        done = self._run(words + (["--rehearsal", "--start-time", self.start_time] if rehearsal else []))
        if done.returncode != 0:
            raise HouseError(f"chockwised {' '.join(words)} gave exit {done.returncode}:\n{done.stdout}{done.stderr}")
        return done.stdout

    def _serve(self, data, rehearsal):
        return ["serve", "--yard", self.yard.name, "--data", data.name, "--listen", "127.0.0.1:0",
                *(["--rehearsal"] if rehearsal else [])]

    def begin(self):
        began = time.monotonic()
        with open(self.work / "server.log", "a", encoding="utf-8") as log:
            self.process = subprocess.Popen([self.program, *self._serve(self.data, True)], cwd=self.work,
                                            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=log, text=True)
        line = self.process.stdout.readline()
        if not line.startswith("ready listen="):
            code = self.process.wait(LONGEST_DRAIN_S)
            log = (self.work / "server.log").read_text(encoding="utf-8")[-2000:]
            raise HouseError(f"chockwised serve gave exit {code} instead of being ready: {line}{log}")
        self.ready_ms.append((time.monotonic() - began) * 1000)
        self.address = line.split("listen=")[1].split()[0]
        return line.strip()

    def kill(self):
        """As if the plug were pulled."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(LONGEST_DRAIN_S)
        self._forget()

    def drain(self):
        """As an administrator ends it: with SIGTERM."""
        self.process.send_signal(signal.SIGTERM)
        rest = self.process.stdout.read()
        code = self.process.wait(LONGEST_DRAIN_S)
        self._forget()
        if code != 0:
            raise HouseError(f"chockwised ended with exit {code} on SIGTERM: {rest}")
        return rest.strip()

    def _forget(self):
        self.process.stdout.close()
        self.process = None

    def serve_as_real(self):
        """Tries to serve the rehearsal's ledger as a real one. Returns exit code and what it said."""
        done = self._run(self._serve(self.data, False))
        return done.returncode, (done.stdout + done.stderr).strip()

    def rehearse_a_real_one(self):
        """Makes a real ledger beside it and tries to rehearse on that one."""
        real = self.work / "real"
        self.init(real, self.work / "real.token", rehearsal=False)
        done = self._run(self._serve(real, True))
        return done.returncode, (done.stdout + done.stderr).strip()

    def edit(self, file, words):
        """["FILE:", old, "=>", new] or [FILE, "+", line]. Returns what is wrong with it, or nothing."""
        path = self.yard / file.rstrip(":")
        text = path.read_text(encoding="utf-8")
        if len(words) == 2 and words[0] == "+":
            path.write_text(text + words[1] + "\n", encoding="utf-8")
            return ""
        if len(words) != 3 or words[1] != "=>":
            return 'write FILE: "old" => "new", or FILE + "line"'
        if text.count(words[0]) != 1:
            return f"\"{words[0]}\" stands {text.count(words[0])} times in {path.name}"
        path.write_text(text.replace(words[0], words[2]), encoding="utf-8")
        return ""

    def close(self):
        if self.process is not None:
            self.drain()
