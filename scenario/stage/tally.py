"""What the shift has shown so far, and what it still owes: gates in their failing form, and unhappy paths."""
import re

# Name in the story, and what it means.
PATHS = {
    "refused by a person": "driver or spotter refuses the move",
    "withdrawn": "a move is taken back before the wheels turn",
    "stop by a reader": "somebody with no part in it stops a move",
    "stop by unit number": "a move is stopped by the number on the machine",
    "restart by the stopper": "whoever stopped it allows the restart",
    "restart by a lead": "a lead allows the restart",
    "restart refused to a stranger": "somebody else may not",
    "lost sight": "driver and spotter lose sight of each other",
    "spotter swap": "another spotter takes over",
    "driver swap": "another driver takes the wheel",
    "left unattended": "the driver walks 25 ft away",
    "door moved": "a door comes down by itself",
    "release lapsed": "a release is not used in time",
    "shift end": "the shift ends with a move open",
    "broke down": "a machine is left standing where it died",
    "ground cleared": "a lead frees the ground under it",
    "yard held": "one word holds the whole yard for an emergency",
    "server killed": "the server dies with a move under way",
    "server drained": "the server is ended in good order with a move under way",
    "yard reloaded": "the yard's files change under a release",
    "driver lapsed": "a driver whose authorisation has ended",
    "spotter lapsed": "a spotter whose training has ended",
    "spotter drafted": "a spotter is wanted at a second machine",
    "wrong unit": "the driver sits in another machine than the one released",
    "chocks missing": "chocks out are not chocks in",
    "tight door accepted": "a lead accepts a tight door, with a control",
    "too tall": "a machine that does not fit its door",
    "unknown attachment": "nobody has measured it with what it carries",
    "old reading": "a reading of thirteen months ago",
    "too steep": "a way steeper than the yard walks a machine",
    "will not turn": "a bend sharper than the machine turns",
    "wire too near": "a wire that has sagged too near",
    "low sun": "the sun has come into the way since somebody looked",
    "the longer way": "the shortest way does not carry the machine, so another one is taken",
    "too heavy": "a machine heavier than its carrier bears",
    "axles over": "a machine that stands on the deck where an axle is over its limit",
    "binders too weak": "chains are strong enough, and the carrier's binders are not",
    "nothing ties the rear": "chains are strong enough, and all at one end",
    "chains too few": "the chains named do not hold what stands on the deck",
    "keys not back": "the carrier's key has not been handed back",
    "one door for two": "two moves want one door",
    "answered once": "a repeated request is done once",
    "token revoked": "a revoked token is good for nothing",
    "self-release": "somebody is to be their own second person",
    "tag and its owner": "a tag comes off by the hand that hung it",
    "ledgers kept apart": "a rehearsal's ledger is not served as real, nor a real one as a rehearsal",
}


class Tally:
    def __init__(self):
        self.paths = PATHS
        self.paths_hit = set()
        self.titles = {}      # gate id -> title, of the rules in force
        self.failing = {}     # gate id -> the first reason seen
        self.not_asked = set()
        self.calls = {}

    def read_rules(self, folder):
        """Every gate of the base rules and of the yard's own: ids and titles."""
        for name in ("base_rules.txtpb", "rules.txtpb"):
            text = (folder / name).read_text(encoding="utf-8")
            for found in re.finditer(r'^gates \{\s+id: "([^"]+)"\s+title: "([^"]+)"', text, re.MULTILINE):
                self.titles[found[1]] = found[2]

    def title(self, gate_id):
        return self.titles.get(gate_id, gate_id)

    def saw(self, unmet):
        for gate in unmet:
            if gate["state"] in ("GATE_STATE_NOT_CLEAR", "GATE_STATE_STALE"):
                self.saw_failing(gate["gateId"], gate["reason"])
            else:
                self.not_asked.add(gate["gateId"])

    def saw_failing(self, gate_id, reason):
        self.failing.setdefault(gate_id, reason)

    def gates_owed(self):
        return sorted(set(self.titles) - set(self.failing))

    def paths_owed(self):
        return sorted(set(self.paths) - self.paths_hit)
