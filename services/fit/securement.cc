#include "services/fit/securement.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kNoise = 1e-6;  // of the column's unit

double InColumn(Kilograms mass, UnitSystem column) {
  return column == UnitSystem::kUs ? mass.pounds() : mass.kilograms();
}
Kilograms FromColumn(double value, UnitSystem column) {
  return column == UnitSystem::kUs ? Pounds(value) : InKilograms(value);
}
double InColumn(const PrintedLimit& printed, UnitSystem column) {
  return column == UnitSystem::kUs ? printed.lb : printed.kg;
}

struct Limit {
  double value;  // in the column's unit
  std::string part;
  bool of_device = true;
};

Outcome<Limit> PrintedIn(std::optional<PrintedLimit> printed, std::string what, UnitSystem column) {
  if (!printed) {
    return tl::unexpected(Unusable{.input = what,
                                   .problem = "has no entry in the table of 49 CFR 393.108",
                                   .right = "a marked working load limit, or a size in the table"});
  }
  return Limit{InColumn(*printed, column), std::move(what)};
}

Outcome<Limit> MarkedIn(const Marked& marked, UnitSystem column) {
  const std::string name = "working load limit of " + marked.what;
  if (!marked.limit) {
    return tl::unexpected(Unusable{.input = name,
                                   .problem = "is not known",
                                   .right = "the limit that its maker marked on it"});
  }
  InputCheck check;
  check.Positive(name, *marked.limit, UpTo{Pounds(200'000)});
  if (check.failed()) return tl::unexpected(check.error());
  return Limit{InColumn(*marked.limit, column), marked.what};
}

struct LimitOfDevice {
  UnitSystem column;

  Outcome<Limit> operator()(const Chain& chain) const {
    const ChainGrade grade = chain.grade.value_or(ChainGrade::k30);
    return PrintedIn(ChainLimit(grade, chain.size),
                     fmt::format("{} chain {}", SizeText(chain.size), GradeText(grade)), column);
  }
  Outcome<Limit> operator()(const Rope& rope) const {
    return PrintedIn(RopeLimit(rope.kind.value_or(RopeKind::kPolypropylene), rope.size),
                     fmt::format("{} rope", SizeText(rope.size)), column);
  }
  Outcome<Limit> operator()(const Webbing& webbing) const {
    return PrintedIn(WebbingLimit(webbing.width), "webbing", column);
  }
  Outcome<Limit> operator()(const Strapping& strapping) const {
    return PrintedIn(StrapLimit(strapping.size), "steel strapping", column);
  }
  Outcome<Limit> operator()(const Marked& marked) const { return MarkedIn(marked, column); }
  Outcome<Limit> operator()(const WireRopeOfStrength& rope) const {
    InputCheck check;
    check.Positive("nominal strength of wire rope", rope.nominal_strength, UpTo{Pounds(800'000)});
    if (check.failed()) return tl::unexpected(check.error());
    return Limit{InColumn(rope.nominal_strength, column) / 4, "wire rope"};
  }
};

struct NameOfDevice {
  std::string operator()(const Chain&) const { return "chain"; }
  std::string operator()(const Rope&) const { return "rope"; }
  std::string operator()(const Webbing&) const { return "strap"; }
  std::string operator()(const Strapping&) const { return "steel strap"; }
  std::string operator()(const Marked& marked) const { return marked.what; }
  std::string operator()(const WireRopeOfStrength&) const { return "wire rope"; }
};

/// The weakest of the device, its binder and its anchor point.
Outcome<Limit> LimitOfTie(const Tie& tie, UnitSystem column) {
  Outcome<Limit> lowest = std::visit(LimitOfDevice{column}, tie.device);
  for (const Marked& part : {Marked{"binder", tie.binder}, Marked{"anchor point", tie.anchor}}) {
    if (!lowest) return lowest;
    Outcome<Limit> limit = MarkedIn(part, column);
    if (limit) limit->of_device = false;
    if (!limit || limit->value < lowest->value) lowest = limit;
  }
  return lowest;
}

int HalvesThatCount(TiePath path) {
  switch (path) {
    case TiePath::kDirect:
    case TiePath::kSameSide:
      return 1;
    case TiePath::kOtherSide:
      return 2;
  }
  return 1;
}

struct Thresholds {
  double light_weight;
  double short_length;
  double step_length;
};
/// The two columns as printed.
constexpr Thresholds kPoundsAndFeet = {1'100, 5, 10};
constexpr Thresholds kKilogramsAndMetres = {500, 1.52, 3.04};

const Thresholds& In(UnitSystem column) {
  return column == UnitSystem::kUs ? kPoundsAndFeet : kKilogramsAndMetres;
}

InputCheck CheckArticle(const Article& article) {
  InputCheck check;
  check.Positive("weight of the load", article.weight, UpTo{Pounds(500'000)})
      .Positive("length of the load", article.length, UpTo{Feet(200)});
  return check;
}

Outcome<int> NumberNeeded(const LoadOnDeck& load) {
  const Outcome<int> by_length = TiesNeeded({.weight = load.weight,
                                             .length = load.length,
                                             .blocked = load.blocked,
                                             .column = load.column});
  if (!by_length || load.kind == LoadKind::kArticle) return by_length;
  return std::max(*by_length, 2 * kLeastAtAnEnd);
}

std::optional<Unusable> NotLookedAt(const LoadOnDeck& load) {
  if (load.kind == LoadKind::kArticle) return std::nullopt;
  if (load.articulation == Restraint::kUnknown) {
    return Unusable{"articulation", "is not known", "locked, or a machine that does not bend"};
  }
  if (load.accessories == Restraint::kUnknown) {
    return Unusable{"accessories", "are not known", "lowered and tied to the vehicle, or none"};
  }
  return std::nullopt;
}

int CountAt(const LoadOnDeck& load, TieEnd end) {
  int count = 0;
  for (const Tie& tie : load.ties) count += tie.end == end ? tie.count : 0;
  return count;
}

int MissingAt(const LoadOnDeck& load, TieEnd end) {
  if (load.kind == LoadKind::kArticle) return 0;
  return std::max(0, kLeastAtAnEnd - CountAt(load, end));
}

void AddFindings(const LoadOnDeck& load, Securement& tied) {
  if (load.kind == LoadKind::kArticle) return;
  if (load.articulation == Restraint::kFree) {
    tied.findings.push_back("LOCK the articulation (49 CFR 393.130(b)(2))");
  }
  if (load.accessories == Restraint::kFree) {
    tied.findings.push_back("LOWER AND TIE every attachment (49 CFR 393.130(b)(1))");
  }
  const auto ask = [&](TieEnd end, std::string_view name) {
    if (MissingAt(load, end) == 0) return;
    tied.findings.push_back(fmt::format("TIE the {}: {} there, {} needed (49 CFR 393.130(c))", name,
                                        CountAt(load, end), kLeastAtAnEnd));
  };
  ask(TieEnd::kFront, "front");
  ask(TieEnd::kRear, "rear");
}

struct Sum {
  double halves = 0;  // of the column's unit
  int count = 0;
  const Tie* most = nullptr;
  std::string called = {};  // "tie-down" where they are of several kinds
  Limit of_most = {};
  Limit lowest = {};
};

Outcome<Sum> SumOf(const LoadOnDeck& load) {
  Sum sum;
  for (const Tie& tie : load.ties) {
    InputCheck check;
    check.Between("number of tie-downs", tie.count, Span{1, kMostOfOneTie});
    if (check.failed()) return tl::unexpected(check.error());
    const Outcome<Limit> limit = LimitOfTie(tie, load.column);
    if (!limit) return tl::unexpected(limit.error());
    sum.halves += tie.count * HalvesThatCount(tie.path) * limit->value;
    sum.count += tie.count;
    const std::string name = std::visit(NameOfDevice{}, tie.device);
    sum.called = sum.called.empty() || sum.called == name ? name : "tie-down";
    if (sum.most == nullptr || tie.count > sum.most->count) {
      sum.most = &tie;
      sum.of_most = *limit;
    }
    if (sum.lowest.part.empty() || limit->value < sum.lowest.value) sum.lowest = *limit;
  }
  return sum;
}

}  // namespace

Outcome<Kilograms> LimitOf(const Tie& tie, UnitSystem column) {
  const Outcome<Limit> limit = LimitOfTie(tie, column);
  if (!limit) return tl::unexpected(limit.error());
  return FromColumn(limit->value, column);
}

Outcome<int> TiesNeeded(const Article& article) {
  const InputCheck check = CheckArticle(article);
  if (check.failed()) return tl::unexpected(check.error());
  const Thresholds& in = In(article.column);
  const double length =
      (article.column == UnitSystem::kUs ? article.length.feet() : article.length.metres()) -
      kNoise;
  const double weight = InColumn(article.weight, article.column) - kNoise;
  const auto steps = [&](double from) {
    return static_cast<int>(std::ceil((length - from) / in.step_length));
  };
  if (article.blocked == Blocked::kForward) return std::max(1, steps(0));
  if (length <= in.short_length && weight <= in.light_weight) return 1;
  if (length <= in.step_length) return 2;
  return 2 + steps(in.step_length);
}

Outcome<Securement> JudgeSecurement(const LoadOnDeck& load) {
  const Outcome<int> number = NumberNeeded(load);
  if (!number) return tl::unexpected(number.error());
  if (auto unknown = NotLookedAt(load)) return tl::unexpected(*unknown);
  if (load.ties.empty()) {
    return tl::unexpected(Unusable{"tie-downs", "are not listed", "one row for each kind"});
  }
  const Outcome<Sum> sum = SumOf(load);
  if (!sum) return tl::unexpected(sum.error());

  Securement tied;
  const double short_halves = InColumn(load.weight, load.column) - sum->halves;
  tied.effective = FromColumn(sum->halves / 2, load.column);
  tied.needed = load.weight / 2;
  tied.margin = FromColumn(-short_halves / 2, load.column);
  tied.ties = sum->count;
  tied.ties_needed = *number;
  tied.called = sum->called;
  tied.add_limit = FromColumn(sum->of_most.value, load.column);
  tied.weakest = sum->lowest.part;
  if (!sum->lowest.of_device) tied.held_back_by = sum->lowest.part;
  const double halves_of_one = HalvesThatCount(sum->most->path) * sum->of_most.value;
  const double more = std::ceil((short_halves - kNoise) / halves_of_one);
  // Capped: a shoelace under a machine would ask for more than an int holds.
  tied.add = std::max({0, static_cast<int>(std::min(more, 1e6)), *number - sum->count,
                       MissingAt(load, TieEnd::kFront) + MissingAt(load, TieEnd::kRear)});
  AddFindings(load, tied);
  const bool holds = tied.add == 0 && tied.findings.empty();
  tied.verdict = holds ? Verdict::kClear : Verdict::kConflict;
  return tied;
}

std::string DriversLine(const Securement& tied, UnitSystem system) {
  const std::string have =
      fmt::format("{} {}{}", tied.ties, tied.called, tied.ties == 1 ? "" : "s");
  const std::string more =
      fmt::format("Add {} more of {}", tied.add, Text(tied.add_limit, system, Rounding::kDown));
  if (!AtLeast(tied.effective, tied.needed)) {
    const std::string held_back =
        tied.held_back_by.empty() ? "" : fmt::format(", held back by its {}", tied.held_back_by);
    return fmt::format("{}: SHORT {}{}. {}", have, Text(-tied.margin, system, Rounding::kUp),
                       held_back, more);
  }
  if (tied.ties < tied.ties_needed) {
    return fmt::format("{}: TOO FEW, {} needed. {}", have, tied.ties_needed, more);
  }
  if (!tied.findings.empty()) return fmt::format("{}: {}", have, tied.findings.front());
  return fmt::format("{}: ENOUGH, {} to spare", have, Text(tied.margin, system, Rounding::kDown));
}

}  // namespace chockwise::fit
