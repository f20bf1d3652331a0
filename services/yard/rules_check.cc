// What each message of a rules file must say, whatever other rules say.
#include <fmt/format.h>

#include "services/yard/limits.h"
#include "services/yard/quantities.h"
#include "services/yard/rules.h"

namespace chockwise::yard {
namespace {

constexpr const char* kWordRight = "1 to 40 characters of a-z, 0-9 and '-'";

bool IsCount(v1::Evidence evidence) {
  return evidence == v1::EVIDENCE_COUNT_PICKED_UP || evidence == v1::EVIDENCE_COUNT_PUT_DOWN;
}

class RulesChecker {
 public:
  RulesChecker(const ParsedRules& parsed, const RulesContext& context, Notes& notes)
      : rules_(parsed.rules), context_(context), file_(parsed.rules, parsed.tree.get(), notes) {}

  void Check() {
    CheckTop();
    Mention();
    CheckEach("gates", rules_.gates(), kGates,
              [this](const auto& gate, const RuleSpot& spot) { CheckGate(gate, spot); });
    CheckEach("gate_sets", rules_.gate_sets(), kGateSets,
              [this](const auto& set, const RuleSpot& spot) { CheckSet(set, spot); });
    CheckEach("kinds", rules_.kinds(), kKinds,
              [this](const auto& kind, const RuleSpot& spot) { CheckKind(kind, spot); });
  }

 private:
  void CheckTop() {
    CheckText(file_, "version", rules_.version(), kNameCharacters);
    const bool local = context_.file == RulesFile::kLocal;
    const auto only_local = [&](const char* field, const std::string& value, auto is_right,
                                const char* right) {
      if (local && !is_right(value)) {
        file_.Complain(field, value.empty() ? "is missing" : "is " + Quoted(value), right);
      } else if (!local && !value.empty()) {
        file_.Complain(field, "is " + Quoted(value), "leave it to each yard's own rules");
      }
    };
    only_local("yard_id", rules_.yard_id(), IsWord, kWordRight);
    only_local("owner", rules_.owner(), IsId, "the id of a safety lead in people.csv");
    CheckLimits();
  }

  void CheckLimits() {
    const v1::Limits& limits = rules_.limits();
    const RuleSpot spot = file_.Nested("limits", -1, limits, "limits");
    const auto check = [&](const char* field, const google::protobuf::Duration* duration) {
      if (duration != nullptr) return CheckDuration(spot, field, *duration);
      if (context_.file == RulesFile::kBase)
        spot.Complain(field, "is missing", "give it as {seconds: 300}");
    };
    check("start_window", limits.has_start_window() ? &limits.start_window() : nullptr);
    check("before_shift_end", limits.has_before_shift_end() ? &limits.before_shift_end() : nullptr);
  }

  /// Notes every id there is, so that order within the file does not matter.
  void Mention() {
    for (const v1::Rules* rules : {context_.base, &rules_}) {
      if (rules == nullptr) continue;
      for (const auto& gate : rules->gates()) {
        gates_.insert(gate.id());
        if (gate.has_looked_at()) looked_at_gates_.insert(gate.id());
      }
      for (const auto& set : rules->gate_sets()) sets_.insert(set.id());
    }
  }

  template <class List, class CheckOne>
  void CheckEach(const char* field, const List& list, int most, CheckOne check_one) {
    if (list.size() > most) {
      file_.Complain(field, fmt::format("there are {}", list.size()),
                     fmt::format("at most {}", most), most);
    }
    std::set<std::string> ids;
    for (int i = 0; i < list.size(); ++i) {
      const std::string& id = list[i].id();
      const RuleSpot spot =
          file_.Nested(field, i, list[i], id.empty() ? fmt::format("{}[{}]", field, i) : id);
      if (!IsWord(id)) {
        spot.Complain("id", id.empty() ? "is missing" : Quoted(id) + " is not an id", kWordRight);
      } else if (!ids.insert(id).second) {
        spot.Complain("id", Quoted(id) + " stands twice", "give each its own, or leave one out");
      }
      check_one(list[i], spot);
    }
  }

  void CheckGate(const v1::GateRule& gate, const RuleSpot& spot) {
    CheckText(spot, "title", gate.title(), kTitleCharacters);
    CheckText(spot, "question", gate.question(), kSentenceCharacters);
    CheckText(spot, "remedy", gate.remedy(), kSentenceCharacters);
    if (!v1::GateClass_IsValid(gate.gate_class()) ||
        gate.gate_class() == v1::GATE_CLASS_UNSPECIFIED) {
      spot.Complain("gate_class", "is missing",
                    "GATE_CLASS_HARD, GATE_CLASS_LEAD_MAY_ACCEPT or GATE_CLASS_RECORD");
    }
    CheckEnums(spot, "phases", gate.phases(), v1::Phase_IsValid,
               "PHASE_START, PHASE_HOLD_POINT or PHASE_CLOSE_OUT");
    if (gate.phases().empty())
      spot.Complain("phases", "are missing", "when is it asked? PHASE_START, ...");
    CheckTexts(spot, "sources", gate.sources());
    if (gate.sources().empty())
      spot.Complain("sources", "are missing", "a clause, or \"common practice\"");
    CheckTexts(spot, "controls", gate.controls());
    const bool acceptable = gate.gate_class() == v1::GATE_CLASS_LEAD_MAY_ACCEPT;
    if (acceptable && gate.controls().empty()) {
      spot.Complain("controls", "are missing",
                    "a gate that a lead may accept names the controls to choose from");
    } else if (!acceptable && !gate.controls().empty()) {
      spot.Complain("controls", "mean nothing in this class",
                    "leave them out, or make it GATE_CLASS_LEAD_MAY_ACCEPT");
    }
    CheckSort(gate, spot);
  }

  void CheckSort(const v1::GateRule& gate, const RuleSpot& spot) {
    switch (gate.sort_case()) {
      case v1::GateRule::kLookedAt:
        if (gate.while_moving()) {
          spot.Complain("while_moving", "needs a computed gate",
                        "nobody looks at a screen in motion: leave it out");
        }
        return CheckLookedAt(gate.looked_at(), spot.Nested("looked_at", -1, gate.looked_at(), ""));
      case v1::GateRule::kComputed:
        return CheckComputed(gate.computed(), spot.Nested("computed", -1, gate.computed(), ""));
      case v1::GateRule::SORT_NOT_SET:
        return spot.Complain("looked_at", "is missing, and computed too",
                             "say how the gate is answered: looked_at {...} or computed {...}");
    }
  }

  void CheckLookedAt(const v1::LookedAt& looked_at, const RuleSpot& spot) {
    CheckEnums(spot, "parties", looked_at.parties(), v1::Party_IsValid,
               "PARTY_DRIVER, PARTY_SPOTTER, PARTY_YARD_LEAD or PARTY_TECH");
    if (looked_at.parties().empty())
      spot.Complain("parties", "are missing", "who may give the word? PARTY_SPOTTER, ...");
    CheckEnums(spot, "stale_on", looked_at.stale_on(), v1::Happening_IsValid,
               "a HAPPENING_... of rules.proto");
    if (!v1::Evidence_IsValid(looked_at.evidence())) {
      spot.Complain("evidence",
                    fmt::format("{} is not known", static_cast<int>(looked_at.evidence())),
                    "an EVIDENCE_... of rules.proto");
    }
    if (IsCount(looked_at.evidence())) {
      if (!IsWord(looked_at.item())) {
        spot.Complain(
            "item",
            looked_at.item().empty() ? "is missing" : Quoted(looked_at.item()) + " is not a word",
            std::string("what is counted, e.g. chocks: ") + kWordRight);
      }
    } else if (!looked_at.item().empty() || looked_at.item_stays_with_machine()) {
      spot.Complain(looked_at.item().empty() ? "item_stays_with_machine" : "item", "needs a count",
                    "EVIDENCE_COUNT_PICKED_UP or EVIDENCE_COUNT_PUT_DOWN");
    }
    if (looked_at.least_count() < 0 || looked_at.least_count() > kLeastCount) {
      spot.Complain("least_count", fmt::format("is {}", looked_at.least_count()),
                    fmt::format("must be 0 to {}", kLeastCount));
    } else if (looked_at.least_count() > 0 && looked_at.evidence() != v1::EVIDENCE_COUNT_PUT_DOWN) {
      spot.Complain("least_count", "needs a count of what is put down",
                    "EVIDENCE_COUNT_PUT_DOWN, or leave it out");
    }
    if (looked_at.has_fresh_for()) CheckDuration(spot, "fresh_for", looked_at.fresh_for());
  }

  void CheckComputed(const v1::Computed& computed, const RuleSpot& spot) {
    const auto known = context_.known->find(computed.computation());
    if (known == context_.known->end()) {
      return spot.Complain("computation",
                           computed.computation().empty()
                               ? "is missing"
                               : Quoted(computed.computation()) + " is not known",
                           KnownNames(computed.computation(), Names(*context_.known)));
    }
    const auto written = WrittenParameters(computed);
    std::map<std::string, std::string> parameters;
    for (int i = 0; i < static_cast<int>(written.size()); ++i) {
      const auto& [name, value] = written[static_cast<size_t>(i)];
      CheckParameter({spot, i}, known->second, name, value);
      if (!parameters.emplace(name, value).second) {
        spot.Complain("parameters", Quoted(name) + " stands twice", "keep one of the two", i);
      }
    }
    for (const std::string& name : known->second.required) {
      if (!parameters.contains(name))
        spot.Complain("parameters", Quoted(name) + " is missing",
                      known->first + " must be told it");
    }
    CheckBounds(spot, parameters);
  }

  /// One parameter of a computed gate, by its place in the list.
  struct ParameterSpot {
    const RuleSpot& computed;
    int index;
    void Complain(std::string problem, std::string right) const {
      computed.Complain("parameters", std::move(problem), std::move(right), index);
    }
  };

  void CheckParameter(const ParameterSpot& spot, const Computation& computation,
                      const std::string& name, const std::string& value) const {
    const auto kind = computation.parameters.find(name);
    if (kind == computation.parameters.end()) {
      return spot.Complain(Quoted(name) + " is not known",
                           KnownNames(name, Names(computation.parameters)));
    }
    const auto refuse = [&](const std::string& problem, std::string right) {
      spot.Complain(name + ": " + problem, std::move(right));
    };
    const auto check_value = [&](const tl::expected<MeasuredValue, std::string>& read) {
      if (!read) return refuse(read.error(), "");
      if (std::visit([](auto quantity) { return quantity < decltype(quantity)(); }, *read)) {
        refuse(Quoted(value) + " is less than nothing", "give zero or more");
      }
    };
    switch (kind->second) {
      case ParameterKind::kLength: {
        const auto read = ReadMeasuredValue(value);
        if (read && !std::holds_alternative<fit::Metres>(*read))
          return refuse(Quoted(value) + " is not a length", "e.g. 6 in");
        return check_value(read);
      }
      case ParameterKind::kQuantity:
        return check_value(ReadMeasuredValue(value));
      case ParameterKind::kAge:
        if (const auto age = ReadAge(value); !age) refuse(age.error(), "");
        return;
      case ParameterKind::kWord:
        if (!IsWord(value)) return refuse(Quoted(value) + " is not a word", kWordRight);
        if (name == "quantity" && FindQuantity(value) == nullptr) {
          refuse(Quoted(value) + " is not a quantity that is measured",
                 KnownNames(value, QuantityNames()));
        }
        return;
      case ParameterKind::kGate:
        // One that is computed, too, could ask this one back, and neither would ever answer.
        if (!looked_at_gates_.contains(value)) {
          refuse(Quoted(value) + " is not a gate that is looked at",
                 KnownNames(value, Names(looked_at_gates_)));
        }
        return;
    }
  }

  /// A bound on a measured quantity must be of that quantity's dimension.
  static void CheckBounds(const RuleSpot& spot,
                          const std::map<std::string, std::string>& parameters) {
    const auto named = parameters.find("quantity");
    const QuantityRow* quantity = named == parameters.end() ? nullptr : FindQuantity(named->second);
    if (quantity == nullptr) return;
    for (const char* bound : {"at_least", "at_most"}) {
      const auto found = parameters.find(bound);
      if (found == parameters.end()) continue;
      const auto value = ReadMeasuredValue(found->second);
      if (!value || HasDimension(*quantity, *value)) continue;
      spot.Complain(
          "parameters",
          fmt::format("{}: {} is {}", bound, Quoted(found->second), DimensionName(*value)),
          fmt::format("{} is {}", quantity->name, DimensionName(quantity->least)));
    }
  }

  void CheckSet(const v1::GateSet& set, const RuleSpot& spot) {
    if (set.gate_ids().empty())
      spot.Complain("gate_ids", "are missing", "name the gates of the set");
    CheckReferences(spot, "gate_ids", set.gate_ids(), gates_, "a gate");
  }

  void CheckKind(const v1::KindRule& kind, const RuleSpot& spot) {
    CheckText(spot, "title", kind.title(), kNameCharacters);
    CheckClasses(spot, "machine_classes", kind.machine_classes());
    if (kind.machine_classes().empty())
      spot.Complain("machine_classes", "are missing", "which machines move this way?");
    CheckClasses(spot, "carrier_classes", kind.carrier_classes());
    if (kind.needs_carrier() && kind.carrier_classes().empty()) {
      spot.Complain("carrier_classes", "are missing", "which machines can be the carrier?");
    } else if (!kind.needs_carrier() && !kind.carrier_classes().empty()) {
      spot.Complain("carrier_classes", "mean nothing without needs_carrier",
                    "set needs_carrier: true, or leave them out");
    }
    if (kind.gate_ids().empty() && kind.gate_set_ids().empty()) {
      spot.Complain("gate_set_ids", "are missing, and gate_ids too", "a kind of move has gates");
    }
    CheckReferences(spot, "gate_set_ids", kind.gate_set_ids(), sets_, "a gate set");
    CheckReferences(spot, "gate_ids", kind.gate_ids(), gates_, "a gate");
  }

  template <class List>
  static void CheckClasses(const RuleSpot& spot, const char* field, const List& classes) {
    std::set<std::string> seen;
    for (int i = 0; i < classes.size(); ++i) {
      if (!IsWord(classes[i]))
        spot.Complain(field, Quoted(classes[i]) + " is not a class", kWordRight, i);
      if (!seen.insert(classes[i]).second)
        spot.Complain(field, Quoted(classes[i]) + " stands twice", "once is enough", i);
    }
  }

  template <class List>
  static void CheckReferences(const RuleSpot& spot, const char* field, const List& ids,
                              const std::set<std::string>& known, std::string_view sort) {
    std::set<std::string> seen;
    for (int i = 0; i < ids.size(); ++i) {
      if (!known.contains(ids[i])) {
        spot.Complain(field, fmt::format("{} is not {}", Quoted(ids[i]), sort),
                      KnownNames(ids[i], Names(known)), i);
      } else if (!seen.insert(ids[i]).second) {
        spot.Complain(field, Quoted(ids[i]) + " stands twice", "once is enough", i);
      }
    }
  }

  template <class List, class IsValid>
  static void CheckEnums(const RuleSpot& spot, const char* field, const List& values,
                         IsValid is_valid, const char* right) {
    std::set<int> seen;
    for (int i = 0; i < values.size(); ++i) {
      if (values[i] == 0) {
        spot.Complain(field, "an UNSPECIFIED value says nothing", right, i);
      } else if (!is_valid(values[i])) {
        spot.Complain(field, fmt::format("{} is not known", values[i]), right, i);
      }
      if (!seen.insert(values[i]).second)
        spot.Complain(field, "a value stands twice", "once is enough", i);
    }
  }

  static void CheckText(const RuleSpot& spot, const char* field, const std::string& text,
                        size_t most, int index = -1) {
    if (IsLine(text, most) && text == Trim(text)) return;
    spot.Complain(
        field, text.empty() ? "is missing" : Quoted(text) + " is too long, or not one plain line",
        fmt::format("1 to {} characters without line ends or blanks around", most), index);
  }

  template <class List>
  static void CheckTexts(const RuleSpot& spot, const char* field, const List& texts) {
    for (int i = 0; i < texts.size(); ++i) CheckText(spot, field, texts[i], kSentenceCharacters, i);
  }

  static void CheckDuration(const RuleSpot& spot, const char* field,
                            const google::protobuf::Duration& duration) {
    const auto value = ReadDuration(duration);
    if (value && *value > fit::Duration()) return;
    spot.Complain(field, "is " + DurationText(duration),
                  fmt::format("must be longer than zero, at most {} days, in whole microseconds",
                              kLongestAgeDays));
  }

  const v1::Rules& rules_;
  const RulesContext& context_;
  RuleSpot file_;
  std::set<std::string> gates_;
  std::set<std::string> looked_at_gates_;
  std::set<std::string> sets_;
};

}  // namespace

void CheckRules(const ParsedRules& parsed, const RulesContext& context, Notes& notes) {
  RulesChecker(parsed, context, notes).Check();
}

}  // namespace chockwise::yard
