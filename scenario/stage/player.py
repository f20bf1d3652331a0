"""Plays the steps of a story: one call each, narrated, and every expectation checked before the next."""
import re
import textwrap
import time

from stage.cast import Answer
from stage.expect import FAILING, Missed, last_part, word
from stage.house import HouseError

WIDTH = 80
HISTORY_TRIES = 50
SCREEN_LINES = 24
CHANGED = "something has changed since"
INDENT = 16
STRUCTURAL = re.compile(r"(move|tag|entry|same entry|state|released|refused:|because|no:|bad:|recorded only|lapsed)")


class Stopped(Exception):
    """The story went another way than it was written."""

    def __init__(self, where, step, missed):
        super().__init__(where)
        self.where, self.step, self.missed = where, step, missed


def wrapped(text, first="", rest=""):
    return textwrap.fill(text, WIDTH, initial_indent=first, subsequent_indent=rest, break_long_words=False,
                         break_on_hyphens=False)


class Player:
    def __init__(self, cast, house, crew, tally, expectations, names, pause_s):
        self.cast, self.house, self.crew, self.tally = cast, house, crew, tally
        self.expectations, self.names, self.pause_s = expectations, names, pause_s
        self.clock = house.start_time[11:16]
        self.states = {}   # move number -> where it was last seen to stand
        self.steps = 0
        self.table = {"chapter": self._chapter, "narration": self._narration, "say": self._say, "clock": self._clock,
                      "call": self._call, "crew": self._crew, "server": self._server, "edit": self._edit}

    def play(self, steps):
        for step in steps:
            self.steps += 1
            try:
                answer = self.table[step.sort](step)
            except (Missed, HouseError) as missed:
                raise Stopped(step.where, step, missed) from None
            for where, expectation in step.expectations:
                try:
                    told = self.expectations.judge(answer, expectation)
                except Missed as missed:
                    raise Stopped(where, step, missed) from None
                if told:
                    self._below(told)
            if self.pause_s and step.sort in ("narration", "call", "crew", "server", "edit"):
                time.sleep(self.pause_s)

    # --- What is told --------------------------------------------------------------------------------------------------

    def _chapter(self, step):
        print(f"\n{step.text}\n{'=' * len(step.text)}", flush=True)

    def _narration(self, step):
        print("\n" + wrapped(step.text), flush=True)

    def _line(self, who, text):
        print(wrapped(text, f"{self.clock}  {who:<8} ", " " * INDENT), flush=True)

    def _below(self, text):
        print(wrapped(text, " " * INDENT, " " * (INDENT + 2)), flush=True)

    def _screen(self, who, text):
        print(f"{f'--- {who} reads ':-<{WIDTH}}\n{text.rstrip()}\n{'-' * WIDTH}", flush=True)

    # --- What is done --------------------------------------------------------------------------------------------------

    def _say(self, step):
        self.crew.notes[step.words[0]] = step.words[1]

    def _clock(self, step):
        answer = self.cast.ask(self.house.safety_lead, ["rehearsal", "advance", step.text])
        self.expectations.judge(answer, "ok")
        self._note_time(answer.document.get("time"))
        self._line("", f"... {step.text} later")

    def _named(self, words):
        named = []
        for text in words:
            if text[:1] in "@$" and text[1:]:
                if text not in self.names:
                    raise Missed(f"{text} has a meaning", "no earlier line gave it one")
                text = self.names[text]
            named.append(text)
        return named

    def _call(self, step):
        words = self._named(step.words)
        self._line(step.person, step.text)
        structural = any(STRUCTURAL.match(text) for _, text in step.expectations)
        ask = self.cast.ask if not step.screen else self.cast.look_and_ask if structural else self.cast.look
        answer = ask(step.person, words)
        for _ in range(HISTORY_TRIES):  # history reads beside the ledger, and says by how much it lags
            if words[0] != "history" or int(answer.document.get("lagEntries", 0)) == 0:
                break
            time.sleep(0.1)
            answer = ask(step.person, words)
        if answer.shown:
            self._screen(step.person, answer.text)
            self._check_screen(answer)
        self._take(step, words, answer)
        if not any(re.match(r"(exit|ok|refused:|no:|bad:|begin refused)", text) for _, text in step.expectations):
            self.expectations.judge(answer, "ok")
        return answer

    @staticmethod
    def _check_screen(answer):
        """What every screen owes its reader: the word REHEARSAL, 80 columns, and a refusal on one screen."""
        lines = answer.text.rstrip().splitlines()
        if answer.exit not in (2, 5) and "REHEARSAL" not in answer.text:
            raise Missed("a screen that says REHEARSAL", answer.text.strip())
        if wide := [line for line in lines if len(line) > WIDTH]:
            raise Missed(f"a screen of {WIDTH} columns", f"{len(wide[0])} columns: {wide[0]}")
        if answer.unmet and len(lines) > SCREEN_LINES:
            raise Missed(f"a refusal of {SCREEN_LINES} lines", f"{len(lines)} lines")

    def _take(self, step, words, answer):
        """What the player learns from an answer, and tells."""
        self.tally.saw(answer.unmet)
        document = answer.document
        self._note_time(document.get("entryTime"))
        if words[0] == "moving" and answer.exit == 0:
            self.crew.rolled(words[words.index("--unit") + 1])
        if answer.shown:
            self._told_state(step, document)
            return
        told = self._told(step, answer)
        if told:
            self._below(told)

    def _told(self, step, answer):
        """One line on what came, and before it a line for each thing that was found."""
        document, error = answer.document, answer.error
        if answer.unmet:
            return self._told_unmet(answer.unmet)
        if error.get("refused"):
            return f"NO ({error['refused']['rule']}): {error['refused']['problem']}"
        if error.get("violations"):
            return "NO: " + "; ".join(f"{one['field']} {one['problem']}" for one in error["violations"])
        if error:
            return f"NO: {error['message']}"
        release = document.get("release") or {}
        if release.get("number") and "moveState" in document:
            return f"RELEASED until {release['limit'] or 'the end of the way'}"
        return self._told_state(step, document)

    def _told_unmet(self, unmet):
        changed, unasked = 0, 0
        for gate in unmet:
            if gate["state"] not in FAILING:
                unasked += 1
            elif gate["reason"].endswith(CHANGED):
                changed += 1
            else:
                self._below(f"x {gate['title'] or gate['gateId']}: {gate['reason']}")
        parts = [f"{changed} of them looked at before something changed"] if changed else []
        parts += [f"{unasked} of them not asked yet"] if unasked else []
        return ", ".join([f"REFUSED: {len(unmet)} not clear", *parts])

    def _told_state(self, step, document):
        """Where the move stands, if that is new."""
        state = document.get("moveState", "MOVE_STATE_UNSPECIFIED")
        number = last_part(document.get("name", ""))
        if state == "MOVE_STATE_UNSPECIFIED" or self.states.get(number) == state:
            return ""
        known, self.states[number] = number in self.states, state
        label = next((text.split()[1] for _, text in step.expectations if text.startswith("move ")), "")
        if not known:
            return f"asked for: move {number}, {label or 'without a name'}"
        return f"move {number} stands {word(state, 'MOVE_STATE_')}"

    def _note_time(self, stamp):
        if stamp and stamp.startswith("20"):
            self.clock = stamp[11:16]

    def _crew(self, step):
        """crew @MOVE [lead NAME,] [people 2, chocks 2, ...]: everybody walks their gates, one question at a time."""
        move_number = self._named(step.words[:1])[0]
        told = dict(part.split() for part in " ".join(step.words[1:]).split(",") if part.strip())
        shown = self.cast.ask(self.house.safety_lead, ["show", move_number])
        self.expectations.judge(shown, "ok")
        move = shown.document
        counts = {item: int(count) for item, count in told.items() if item != "lead"}
        answer = self.crew.answers(move, counts)
        given, screens = [], ""
        # At a hold point the driver's hands stay off every device.
        people = [move["spotter"]] if move["phase"] == "PHASE_HOLD_POINT" else [move["driver"], move["spotter"]]
        for person in people + ([told["lead"]] if "lead" in told else []):
            asked, code, screen = self.cast.walk(person, move_number, answer)
            screens += screen
            if code != 0:
                raise Missed(f"{person} answers every question", screen[-1500:])
            if "REHEARSAL" not in screen:
                raise Missed("a screen that says REHEARSAL", screen)
            given.append(f"{person} answers {len(asked)}")
        phase = {"PHASE_START": "before the start", "PHASE_HOLD_POINT": "at the line"}.get(move["phase"], "for the close")
        self._line("crew", f"walk move {move_number} {phase}: " + ", ".join(given))
        return Answer(0, screens)

    def _server(self, step):
        act = step.words[0]
        if act == "kill":
            self.house.kill()
            told = "chockwised is killed: no warning, no goodbye"
        elif act == "drain":
            told = f"chockwised is told to end, finishes what waits, and says: {self.house.drain()}"
        elif act == "start":
            told = self.house.begin()
            self.cast.server = self.house.address
        elif act in ("start-real", "start-mixed"):
            code, text = self.house.serve_as_real() if act == "start-real" else self.house.rehearse_a_real_one()
            self._line("server", f"(exit {code}) {text}")
            return Answer(code, text)
        else:
            raise Missed("kill, drain, start, start-real or start-mixed", act)
        self._line("server", told)
        return Answer(0, told)

    def _edit(self, step):
        if wrong := self.house.edit(step.words[0], step.words[1:]):
            raise Missed("an edit of the yard's files", wrong)
        self._line("folder", step.text)
