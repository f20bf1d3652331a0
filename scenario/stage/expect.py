"""What a story may expect of a call, and whether it came.

    ok                              exit code 0; meant where nothing is said about the exit
    exit N                          that exit code
    move @blue                      names the move that was asked for
    tag $leak / entry $first        names the tag that was hung / the entry of the ledger
    tag $leak on UNIT               names the last tag that hangs on that machine
    same entry as $first            it was answered with that entry
    state PARKED                    where the move stands after it
    released until door-3           released, up to that stop; "released to the end" where none is left
    refused: a, b                   exactly these gates are not clear or stale
    ... , and others unasked        as well as some that nobody has been asked yet
    ... , and others                at least these
    because GATE: "text"            the reason given for a gate that is not clear
    no: law 4                       refused by that law or rule
    bad: field                      the request itself is wrong, in that field
    begin refused: GATE             the release was taken back at the seat because of that gate
    recorded only: GATE             the gate is not clear, and it keeps nothing back
    lapsed: GATE                    history says that the last release was taken back because of that gate
    says "text"                     the screen or the data says it
    hits NAME                       the unhappy path of that name has been walked: tally.py lists them
"""
import re

FAILING = ("GATE_STATE_NOT_CLEAR", "GATE_STATE_STALE")


class Missed(Exception):
    """An expectation did not come true: what was expected, and what came."""

    def __init__(self, expected, came):
        super().__init__(expected)
        self.expected, self.came = expected, came


def word(name, prefix):
    return name.removeprefix(prefix).replace("_", " ")


def last_part(name):
    return name.rsplit("/", 1)[-1]


def quoted(text):
    return text.strip().strip('"')


class Expectations:
    """Judges answers; `names` is shared with the player, `tally` collects what was seen."""

    def __init__(self, names, tally):
        self.names, self.tally = names, tally
        self.table = [
            (r"ok", self._ok), (r"exit (\d+)", self._exit), (r"(move|tag|entry) ([@$][\w-]+)", self._name),
            (r"tag (\$[\w-]+) on (\S+)", self._tag_on),
            (r"same entry as (\$[\w-]+)", self._same), (r"state (.+)", self._state),
            (r"released (until \S+|to the end)", self._released), (r"refused: (.+)", self._refused),
            (r"because ([\w-]+): (\".+\")", self._because), (r"no: (.+)", self._no), (r"bad: (\w+)", self._bad),
            (r"begin refused: ([\w-]+)", self._begin_refused), (r"recorded only: ([\w-]+)", self._recorded),
            (r"lapsed: ([\w-]+)", self._lapsed), (r"says (\".+\")", self._says), (r"hits (.+)", self._hits),
        ]

    def judge(self, answer, expectation):
        """Raises Missed where it did not come. Returns what is worth telling, if anything is."""
        for pattern, check in self.table:
            if found := re.fullmatch(pattern, expectation):
                return check(answer, *found.groups())
        raise Missed(expectation, "no such expectation; stage/expect.py lists them")

    def _require(self, true, expected, came):
        if not true:
            raise Missed(expected, came)

    def _ok(self, answer):
        self._exit(answer, "0")

    def _exit(self, answer, code):
        self._require(answer.exit == int(code), f"exit {code}", f"exit {answer.exit}")

    def _name(self, answer, sort, name):
        self._exit(answer, "0")
        document = answer.document
        value = document.get("entry") if sort == "entry" else last_part(document.get("name", ""))
        self._require(bool(value), f"a {sort} to call {name}", "a receipt without one")
        self.names[name] = str(value)

    def _tag_on(self, answer, name, unit):
        tags = [tag["number"] for machine in answer.document.get("machines", []) if machine["machine"] == unit
                for tag in machine["tags"]]
        self._require(bool(tags), f"a tag on {unit}", "none")
        self.names[name] = str(tags[-1])

    def _same(self, answer, name):
        entry = str(answer.document.get("entry"))
        self._require(entry == self.names.get(name), f"entry {self.names.get(name)}", f"entry {entry}")

    def _state(self, answer, state):
        document = answer.document
        came = word(document.get("moveState") or document.get("state") or "", "MOVE_STATE_")
        self._require(came == state, f"state {state}", f"state {came or 'of no move'}")

    def _released(self, answer, limit):
        release = answer.document.get("release") or {}
        self._require("limit" in release, f"released {limit}", "no release")
        came = f"until {release['limit']}" if release["limit"] else "to the end"
        self._require(came == limit, f"released {limit}", f"released {came}")

    def _refused(self, answer, wanted):
        self._exit(answer, "1")
        gates, unasked = wanted.removesuffix(", and others unasked"), wanted.endswith(", and others unasked")
        gates, others = gates.removesuffix(", and others"), gates.endswith(", and others")
        expected = {gate.strip() for gate in gates.split(",")}
        failing = {gate["gateId"] for gate in answer.unmet if gate["state"] in FAILING}
        not_asked = [gate["gateId"] for gate in answer.unmet if gate["state"] not in FAILING]
        missing, more = expected - failing, failing - expected
        good = not missing and (others or (not more and bool(not_asked) == unasked))
        came = "; ".join(f"{label}: {', '.join(sorted(ids))}" for label, ids in
                         (("not among them", missing), ("as well", more), ("not asked yet", not_asked)) if ids)
        self._require(good, f"refused for: {wanted}", came or "these and nothing else")

    def _because(self, answer, gate_id, text):
        came = [gate["reason"] for gate in answer.unmet if gate["gateId"] == gate_id]
        self._require(came and quoted(text) in came[0], f"{gate_id}: ...{quoted(text)}...",
                      f"{gate_id}: {came[0] if came else 'is not among those refused'}")

    def _no(self, answer, rule):
        came = (answer.error.get("refused") or {}).get("rule", "")
        self._require(came == rule, f"refused by: {rule}", f"refused by: {came or 'nothing'}")

    def _bad(self, answer, name):
        fields = [violation["field"] for violation in answer.error.get("violations") or []]
        self._require(name in fields, f"bad field: {name}", f"bad fields: {', '.join(fields) or 'none'}")

    def _begin_refused(self, answer, gate_id):
        self._exit(answer, "1")
        title = self.tally.title(gate_id)
        self._require(f"taken back: {title}:" in answer.says, f"taken back: {title}", answer.says.strip())
        self.tally.saw_failing(gate_id, "at the seat")

    def _recorded(self, answer, gate_id):
        gates = [gate for gate in answer.document.get("gates", []) if gate["gateId"] == gate_id]
        self._require(gates and gates[0]["gateClass"] == "GATE_CLASS_RECORD" and gates[0]["state"] in FAILING,
                      f"{gate_id} not clear and recorded only", str(gates))
        self.tally.saw_failing(gate_id, gates[0]["reason"])
        return f"on record, keeps nothing back: {gates[0]['title']}: {gates[0]['reason']}"

    def _lapsed(self, answer, gate_id):
        releases = answer.document.get("releases") or [{}]
        reason, title = releases[-1].get("voidReason", ""), self.tally.title(gate_id)
        self._require(reason.startswith(title + ":"), f"taken back: {title}: ...", f"taken back: {reason or 'not at all'}")
        self.tally.saw_failing(gate_id, reason)
        return f"history: release taken back: {reason}"

    def _says(self, answer, text):
        self._require(quoted(text) in " ".join(answer.says.split()), f"...{quoted(text)}...", answer.says.strip())

    def _hits(self, answer, name):
        self._require(name in self.tally.paths, f"an unhappy path called \"{name}\"", "none of that name in tally.py")
        self.tally.paths_hit.add(name)
