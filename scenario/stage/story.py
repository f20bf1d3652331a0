"""A story file, read into steps.

    = A chapter                      printed as a heading
    # Narration.                     printed, wrapped
    -- A note to whoever edits.      not printed
    say GATE "text"                  what people answer where a gate asks for a note
    clock +6m                        the rehearsal's clock goes forward
    tam> ask KIND UNIT PLACE         one `chockwise` call as that person
    tam>> release @blue              the same, with the person's screen shown
    crew @blue lead dov, people 2    driver, spotter and lead walk the gates that wait for them, all clear
    server kill                      what happens to chockwised: kill, drain, start, start-real, start-mixed
    yard FILE: "old" => "new"        somebody edits a file of the yard's folder
    yard FILE + "line"
        -> expectation               of the line before; what may stand here: expect.py

@name is a move and $name a tag or a ledger entry; an expectation of an earlier line gave it its name.
"""
import re
import shlex
from dataclasses import dataclass, field


class StoryError(Exception):
    """The story cannot be played as written; says where and what would be right."""


@dataclass
class Step:
    where: str  # "day.story:12"
    sort: str   # chapter, narration, say, clock, call, crew, server, edit
    text: str   # the line as written, without its mark
    person: str = ""
    words: list = field(default_factory=list)
    screen: bool = False
    expectations: list = field(default_factory=list)


MARKED = [("= ", "chapter"), ("# ", "narration"), ("say ", "say"), ("clock +", "clock"),
          ("crew ", "crew"), ("server ", "server"), ("yard ", "edit")]


def _split(text, where):
    try:
        return shlex.split(text)
    except ValueError as error:
        raise StoryError(f"{where}: {error}") from None


def _step(line, where):
    call = re.match(r"([a-z]+)(>>?) (.+)$", line)
    if call:
        return Step(where, "call", call[3], person=call[1], words=_split(call[3], where), screen=call[2] == ">>")
    for mark, sort in MARKED:
        if line.startswith(mark):
            text = line[len(mark):].strip()
            words = _split(text, where) if sort in ("say", "crew", "server", "edit") else []
            return Step(where, sort, text, words=words)
    raise StoryError(f'{where}: "{line}" is no line of a story; stage/story.py lists them')


def read_story(path):
    steps = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        where = f"{path.name}:{number}"
        bare = line.strip()
        if not bare or bare.startswith("--"):
            continue
        if bare.startswith("-> "):
            if not steps or steps[-1].sort not in ("call", "crew", "server"):
                raise StoryError(f"{where}: an expectation belongs below what somebody does")
            steps[-1].expectations.append((where, bare[3:]))
        elif steps and bare.startswith("# ") and steps[-1].sort == "narration":
            steps[-1].text += " " + bare[2:]
        else:
            steps.append(_step(bare, where))
    return steps
