// Local rules on top of the base rules. What a local rule says again may only be stricter: each
// check here answers "could a move that the base rules refuse be released by this?", and where it
// could, that is a complaint.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "services/yard/rules.h"

namespace chockwise::yard {
namespace {

constexpr const char* kStricterOnly = "a local rule may only be stricter than the base";

template <class List>
std::vector<std::string> Strings(const List& list) {
  return {list.begin(), list.end()};
}

/// Whether every element of `part` is in `whole`, in the same order.
bool IsSubsequence(const std::vector<std::string>& part, const std::vector<std::string>& whole) {
  auto next = part.begin();
  for (const std::string& element : whole) {
    if (next != part.end() && *next == element) ++next;
  }
  return next == part.end();
}

template <class T>
bool IsSubset(const std::set<T>& part, const std::set<T>& whole) {
  return std::ranges::includes(whole, part);
}

template <class List>
auto SetOf(const List& list) {
  return std::set<typename List::value_type>(list.begin(), list.end());
}

std::string EnumNames(const std::set<int>& values, const std::string& (*name_of)(int)) {
  std::vector<std::string> names;
  for (const int value : values) names.push_back(name_of(value));
  return names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "));
}
const std::string& PhaseName(int value) { return v1::Phase_Name(static_cast<v1::Phase>(value)); }
const std::string& PartyName(int value) { return v1::Party_Name(static_cast<v1::Party>(value)); }
const std::string& HappeningName(int value) {
  return v1::Happening_Name(static_cast<v1::Happening>(value));
}

std::string Joined(const std::vector<std::string>& names) {
  return names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "));
}

/// In which direction a parameter of a computation is stricter.
enum class Direction { kLarger, kSmaller, kSame };

Direction StricterWhen(std::string_view parameter) {
  static constexpr std::array kLarger = {"at_least", "bounce", "each_side", "distance"};
  static constexpr std::array kSmaller = {"at_most", "max_age", "most_grade"};
  if (parameter.ends_with("_margin") || std::ranges::count(kLarger, parameter) > 0)
    return Direction::kLarger;
  if (std::ranges::count(kSmaller, parameter) > 0) return Direction::kSmaller;
  return Direction::kSame;
}

/// Whether a computation is stricter without the parameter: it names a way to clear what is
/// otherwise refused.
bool IsStricterLeftOut(std::string_view parameter) { return parameter == "glare_gate"; }

/// -1, 0, 1 as a is less than, equal to or more than b; unset where they cannot be compared.
std::optional<int> Compare(ParameterKind kind, const std::string& a, const std::string& b) {
  const auto order = [](const auto& x, const auto& y) { return x < y ? -1 : (y < x ? 1 : 0); };
  switch (kind) {
    case ParameterKind::kLength:
    case ParameterKind::kQuantity: {
      const auto x = ReadMeasuredValue(a);
      const auto y = ReadMeasuredValue(b);
      if (!x || !y || x->index() != y->index()) return std::nullopt;
      return order(*x, *y);
    }
    case ParameterKind::kAge: {
      const auto x = ReadAge(a);
      const auto y = ReadAge(b);
      if (!x || !y) return std::nullopt;
      return order(*x, *y);
    }
    case ParameterKind::kWord:
    case ParameterKind::kGate:
      return order(a, b);
  }
  return std::nullopt;
}

class Merger {
 public:
  Merger(const v1::Rules& base, const ParsedRules& local, const Computations& known, Notes& notes)
      : merged_(base),
        local_(local.rules),
        known_(known),
        file_(local.rules, local.tree.get(), notes) {}

  v1::Rules Merge() {
    merged_.set_yard_id(local_.yard_id());
    merged_.set_version(local_.version());
    merged_.set_owner(local_.owner());
    MergeEach("gates", local_.gates(), *merged_.mutable_gates(),
              [this](const auto& base, const auto& gate, const RuleSpot& spot) {
                CompareGates(base, gate, spot);
              });
    MergeEach("gate_sets", local_.gate_sets(), *merged_.mutable_gate_sets(),
              [](const auto& base, const auto& set, const RuleSpot& spot) {
                RequireInOrder(spot, "gate_ids", Strings(base.gate_ids()), Strings(set.gate_ids()));
              });
    MergeEach("kinds", local_.kinds(), *merged_.mutable_kinds(),
              [](const auto& base, const auto& kind, const RuleSpot& spot) {
                CompareKinds(base, kind, spot);
              });
    MergeLimits();
    return std::move(merged_);
  }

 private:
  template <class List, class CompareOne>
  void MergeEach(const char* field, const List& local, List& merged, CompareOne compare_one) {
    for (int i = 0; i < local.size(); ++i) {
      const auto base = std::ranges::find_if(
          merged, [&](const auto& entry) { return entry.id() == local[i].id(); });
      if (base == merged.end()) {
        *merged.Add() = local[i];
        continue;
      }
      compare_one(*base, local[i], file_.Nested(field, i, local[i], local[i].id()));
      *base = local[i];
    }
  }

  static void Loosens(const RuleSpot& spot, const char* field, std::string_view local,
                      std::string_view base, int index = -1) {
    spot.Complain(field, fmt::format("{} loosens the base rule's {}", local, base), kStricterOnly,
                  index);
  }

  static void RequireInOrder(const RuleSpot& spot, const char* field,
                             const std::vector<std::string>& base,
                             const std::vector<std::string>& local) {
    if (!IsSubsequence(base, local))
      Loosens(spot, field, Joined(local), Joined(base) + ", in this order");
  }

  static void RequireSubset(const RuleSpot& spot, const char* field,
                            const std::vector<std::string>& local,
                            const std::vector<std::string>& base) {
    if (!IsSubset(SetOf(local), SetOf(base))) Loosens(spot, field, Joined(local), Joined(base));
  }

  static void RequireKeptOn(const RuleSpot& spot, const char* field, bool base, bool local) {
    if (base && !local) Loosens(spot, field, "false", "true");
  }

  static void RequireSame(const RuleSpot& spot, const char* field, const std::string& base,
                          const std::string& local) {
    if (base != local) Loosens(spot, field, Quoted(local), Quoted(base));
  }

  template <class List>
  static void RequireSuperset(const RuleSpot& spot, const char* field, const List& base,
                              const List& local, const std::string& (*name_of)(int)) {
    if (!IsSubset(SetOf(base), SetOf(local)))
      Loosens(spot, field, EnumNames(SetOf(local), name_of), EnumNames(SetOf(base), name_of));
  }

  void CompareGates(const v1::GateRule& base, const v1::GateRule& local, const RuleSpot& spot) {
    if (local.gate_class() < base.gate_class()) {
      Loosens(spot, "gate_class", v1::GateClass_Name(local.gate_class()),
              v1::GateClass_Name(base.gate_class()));
    }
    RequireSuperset(spot, "phases", base.phases(), local.phases(), PhaseName);
    RequireKeptOn(spot, "while_moving", base.while_moving(), local.while_moving());
    if (local.gate_class() == v1::GATE_CLASS_LEAD_MAY_ACCEPT &&
        base.gate_class() == local.gate_class()) {
      RequireSubset(spot, "controls", Strings(local.controls()), Strings(base.controls()));
    }
    if (local.sort_case() != base.sort_case()) {
      const bool looked_at = base.has_looked_at();
      Loosens(spot, looked_at ? "computed" : "looked_at", "another way to answer it",
              looked_at ? "looked_at" : "computed");
    } else if (base.has_looked_at()) {
      CompareLookedAt(base.looked_at(), local.looked_at(),
                      spot.Nested("looked_at", -1, local.looked_at(), ""));
    } else if (base.has_computed()) {
      CompareComputed(base.computed(), local.computed(),
                      spot.Nested("computed", -1, local.computed(), ""));
    }
  }

  static void CompareLookedAt(const v1::LookedAt& base, const v1::LookedAt& local,
                              const RuleSpot& spot) {
    CompareParties(base, local, spot);
    RequireSame(spot, "evidence", v1::Evidence_Name(base.evidence()),
                v1::Evidence_Name(local.evidence()));
    RequireSame(spot, "item", base.item(), local.item());
    RequireSame(spot, "item_stays_with_machine", base.item_stays_with_machine() ? "true" : "false",
                local.item_stays_with_machine() ? "true" : "false");
    if (local.least_count() < base.least_count()) {
      Loosens(spot, "least_count", std::to_string(local.least_count()),
              std::to_string(base.least_count()));
    }
    RequireSuperset(spot, "stale_on", base.stale_on(), local.stale_on(), HappeningName);
    RequireKeptOn(spot, "given_last", base.given_last(), local.given_last());
    if (!base.has_fresh_for()) return;
    const auto base_for = ReadDuration(base.fresh_for());
    const auto local_for = ReadDuration(local.fresh_for());
    if (!local.has_fresh_for()) {
      Loosens(spot, "fresh_for", "no end of freshness", DurationText(base.fresh_for()));
    } else if (base_for && local_for && *local_for > *base_for) {
      Loosens(spot, "fresh_for", DurationText(local.fresh_for()), DurationText(base.fresh_for()));
    }
  }

  /// Every word that clears the local gate must bring one that clears the base's.
  static void CompareParties(const v1::LookedAt& base, const v1::LookedAt& local,
                             const RuleSpot& spot) {
    const auto base_parties = SetOf(base.parties());
    const auto local_parties = SetOf(local.parties());
    const auto shown = [](const std::set<int>& parties, bool any) {
      return fmt::format("{} of {}", any ? "any" : "all", EnumNames(parties, PartyName));
    };
    bool stricter = false;
    if (local.any_party()) {
      // One word is enough here: whoever gives it, it must be enough there.
      stricter = base.any_party() || base_parties.size() == 1;
      stricter = stricter && IsSubset(local_parties, base_parties);
    } else if (base.any_party()) {
      stricter = std::ranges::any_of(local_parties,
                                     [&](int party) { return base_parties.contains(party); });
    } else {
      stricter = IsSubset(base_parties, local_parties);
    }
    if (!stricter)
      Loosens(spot, "parties", shown(local_parties, local.any_party()),
              shown(base_parties, base.any_party()));
  }

  void CompareComputed(const v1::Computed& base, const v1::Computed& local,
                       const RuleSpot& spot) const {
    RequireSame(spot, "computation", base.computation(), local.computation());
    const auto computation = known_.find(local.computation());
    if (base.computation() != local.computation() || computation == known_.end()) return;
    for (const auto& [name, kind] : computation->second.parameters) {
      const auto base_value = base.parameters().find(name);
      const auto local_value = local.parameters().find(name);
      const bool in_base = base_value != base.parameters().end();
      const bool in_local = local_value != local.parameters().end();
      if (!in_base && !in_local) continue;
      const Direction direction = StricterWhen(name);
      if (!in_base && direction != Direction::kSame) continue;  // a bound where the base has none
      if (!in_local && IsStricterLeftOut(name)) continue;
      if (!in_base || !in_local) {
        Loosens(spot, "parameters",
                name + (in_local ? " " + Quoted(local_value->second) : " left out"),
                in_base ? Quoted(base_value->second) : "rule, which does not give it");
        continue;
      }
      const auto order = Compare(kind, local_value->second, base_value->second);
      const bool stricter =
          order && (*order == 0 || (direction == Direction::kLarger && *order > 0) ||
                    (direction == Direction::kSmaller && *order < 0));
      if (stricter) continue;
      const auto written = WrittenParameters(local);
      const auto at =
          std::ranges::find(written, name, &std::pair<std::string, std::string>::first) -
          written.begin();
      Loosens(spot, "parameters", name + " " + Quoted(local_value->second),
              Quoted(base_value->second), static_cast<int>(at));
    }
  }

  static void CompareKinds(const v1::KindRule& base, const v1::KindRule& local,
                           const RuleSpot& spot) {
    RequireSubset(spot, "machine_classes", Strings(local.machine_classes()),
                  Strings(base.machine_classes()));
    RequireSubset(spot, "carrier_classes", Strings(local.carrier_classes()),
                  Strings(base.carrier_classes()));
    RequireInOrder(spot, "gate_set_ids", Strings(base.gate_set_ids()),
                   Strings(local.gate_set_ids()));
    RequireInOrder(spot, "gate_ids", Strings(base.gate_ids()), Strings(local.gate_ids()));
    RequireKeptOn(spot, "hold_at_doors", base.hold_at_doors(), local.hold_at_doors());
    RequireSame(spot, "needs_carrier", base.needs_carrier() ? "true" : "false",
                local.needs_carrier() ? "true" : "false");
  }

  void MergeLimits() {
    const v1::Limits& local = local_.limits();
    const RuleSpot spot = file_.Nested("limits", -1, local, "limits");
    v1::Limits& merged = *merged_.mutable_limits();
    const auto merge = [&](const char* field, Direction stricter,
                           const google::protobuf::Duration& value,
                           google::protobuf::Duration& base) {
      const auto local_for = ReadDuration(value);
      const auto base_for = ReadDuration(base);
      const bool looser =
          local_for && base_for &&
          (stricter == Direction::kSmaller ? *local_for > *base_for : *local_for < *base_for);
      if (looser) Loosens(spot, field, DurationText(value), DurationText(base));
      base = value;
    };
    if (local.has_start_window()) {
      merge("start_window", Direction::kSmaller, local.start_window(),
            *merged.mutable_start_window());
    }
    if (local.has_before_shift_end()) {
      merge("before_shift_end", Direction::kLarger, local.before_shift_end(),
            *merged.mutable_before_shift_end());
    }
  }

  v1::Rules merged_;
  const v1::Rules& local_;
  const Computations& known_;
  RuleSpot file_;
};

}  // namespace

v1::Rules MergeRules(const v1::Rules& base, const ParsedRules& local, const Computations& known,
                     Notes& notes) {
  return Merger(base, local, known, notes).Merge();
}

}  // namespace chockwise::yard
