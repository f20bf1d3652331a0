"""The people of the yard, each with their own token, and their one tool: the command line.

Every call is one run of `chockwise`, as that person would type it; the only other thing this file knows is how a person
answers the questions of `chockwise walk`.
"""
import json
import os
import re
import subprocess
import uuid
from dataclasses import dataclass, field

LONGEST_CALL_S = 20


@dataclass
class Answer:
    """What came back from one call."""
    exit: int
    text: str = ""                             # the screen, or what was complained about
    documents: list = field(default_factory=list)  # of --json
    shown: bool = False                        # whether `text` is a screen

    @property
    def document(self):
        return self.documents[-1] if self.documents else {}

    @property
    def error(self):
        return self.document.get("error", {})

    @property
    def unmet(self):
        return self.error.get("unmetGates") or []

    @property
    def says(self):
        """Everything a person could read in it."""
        return self.text + "\n" + "\n".join(json.dumps(document, ensure_ascii=False) for document in self.documents)


class Cast:
    def __init__(self, program, log):
        self.program = str(program)
        self.log = log          # every screen goes here too, to be read at leisure
        self.server = ""
        self.tokens = {}        # person -> secret
        self.token_numbers = {}
        self.calls = 0

    def environment(self, person):
        keep = {name: os.environ[name] for name in ("PATH", "HOME", "TMPDIR") if name in os.environ}
        return keep | {"CHOCKWISE_SERVER": self.server, "CHOCKWISE_TOKEN": self.tokens.get(person, ""),
                       "NO_COLOR": "1", "LC_ALL": "C.UTF-8", "TZ": "UTC"}

    def run(self, person, words):
        self.calls += 1
        done = subprocess.run([self.program, *words], env=self.environment(person), stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, timeout=LONGEST_CALL_S, close_fds=False)
        self.log.write(f"\n$ {person}: chockwise {' '.join(words)}   (exit {done.returncode})\n{done.stdout}{done.stderr}")
        return done

    def ask(self, person, words):
        """One call with --json."""
        done = self.run(person, [*words, "--json"])
        documents, rest = [], done.stderr
        for line in done.stdout.splitlines():
            try:
                documents.append(json.loads(line))
            except json.JSONDecodeError:
                rest += line + "\n"
        return Answer(done.returncode, rest, documents)

    def look(self, person, words):
        """One call with its screen."""
        done = self.run(person, words)
        return Answer(done.returncode, done.stdout + done.stderr, shown=True)

    def look_and_ask(self, person, words):
        """The screen, and the same answer once more as data: a repeat with the same id is done once."""
        if "--request-id" not in words:
            words = [*words, "--request-id", str(uuid.uuid4())]
        seen, data = self.look(person, words), self.ask(person, words)
        return Answer(data.exit if data.exit == seen.exit else -1, seen.text, data.documents, shown=True)

    def offline(self, words):
        """A call that needs neither server nor token."""
        return self.look("", words)

    def walk(self, person, move, answer):
        """Answers `chockwise walk` as it asks. `answer(title, prompt)` is what is typed. Returns the titles asked, the exit
        code and the screen."""
        self.calls += 1
        process = subprocess.Popen([self.program, "walk", str(move)], env=self.environment(person), stdin=subprocess.PIPE,
                                   stdout=subprocess.PIPE, stderr=subprocess.STDOUT, close_fds=False)
        screen, title, asked, since = "", "", [], 0
        while chunk := os.read(process.stdout.fileno(), 65536):
            screen += chunk.decode("utf-8", "replace")
            if not screen.endswith("> "):
                continue
            for found in re.finditer(r"^\[\d+/\d+\] (.+?)  ", screen[since:], re.MULTILINE):
                title = found[1].strip()
                asked.append(title)
            since = len(screen)
            typed = answer(title, screen.splitlines()[-1]) + "\n"
            screen += typed
            since = len(screen)
            process.stdin.write(typed.encode())
            process.stdin.flush()
        process.stdin.close()
        exit_code = process.wait(LONGEST_CALL_S)
        self.log.write(f"\n$ {person}: chockwise walk {move}   (exit {exit_code})\n{screen}")
        return asked, exit_code, screen
