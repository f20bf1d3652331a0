"""What the people of a move see when they walk its gates and nothing is wrong: chocks, cones, people, painted codes.

Codes are read off the map, as people read them off the wall. Counts are remembered as things lie about on a yard: what was
put down is what there is to pick up.
"""
import csv
import json

COUNTED_OUT = {"people": 2, "cones": 0, "carrier-chocks": 4}


class Crew:
    def __init__(self, yard):
        self.notes = {}       # gate id -> what people answer
        self.codes = self._codes(json.loads((yard / "map.geojson").read_text(encoding="utf-8")))
        with open(yard / "machines.csv", encoding="utf-8") as file:
            self.chocks = {row["id"]: int(row["chocks"] or 0) for row in csv.DictReader(file)}
        self.lying = {unit: {"chocks": count} for unit, count in self.chocks.items()}

    @staticmethod
    def _codes(geojson):
        return {feature["id"]: feature["properties"]["post-code"] for feature in geojson["features"]
                if "post-code" in feature["properties"]}

    def rolled(self, unit):
        """The wheels have turned: nothing lies under it any more."""
        self.lying[unit] = {}

    def code_at(self, move):
        phase = move["phase"]
        if phase == "PHASE_CLOSE_OUT":
            return self.codes[move["toPlace"]]
        # A restart at a hold point asks the word at the line too; elsewhere on the way no code is asked.
        if phase == "PHASE_HOLD_POINT" or move.get("stopsPassed"):
            return self.codes[move["stops"][move["stopsPassed"] - 1]]
        return self.codes[move["fromPlace"]]

    def _count(self, move, gate, told):
        unit, item = move["machine"], gate["item"]
        stays = item in ("chocks", "cones")
        lies = self.lying.setdefault(unit if stays else move["name"], {})
        if gate["evidence"] == "EVIDENCE_COUNT_PUT_DOWN":
            usual = self.chocks.get(unit, 0) if item == "chocks" else COUNTED_OUT[item]
            lies[item] = told.get(item, usual)
        return lies.get(item, 0)

    def answers(self, move, told):
        """What to type at each question of `chockwise walk`."""
        gates = {gate["title"]: gate for gate in move["gates"]}
        ties = {}

        def answer(title, prompt):
            if "Code painted" in prompt:
                return self.code_at(move)
            if "How many" in prompt:
                return str(self._count(move, gates[title], told))
            if "Tie-downs" in prompt:  # one kind after the other, and then that is all
                named = self.notes[gates[title]["gateId"]].split("; ") + [""]
                return ties.setdefault(title, named).pop(0)
            if "deck's front" in prompt:
                return self.notes[gates[title]["gateId"]]
            if "Name what you saw" in prompt:
                return self.notes.get(gates[title]["gateId"], "seen, nothing wrong")
            return "c"

        return answer
