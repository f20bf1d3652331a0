#include "services/survey/ties.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>
#include <sstream>

#include "services/survey/words.h"

namespace chockwise::survey {
namespace {

constexpr Words<fit::TieSize, 9> kSizes = {{{"1/4", fit::TieSize::k1_4},
                                            {"5/16", fit::TieSize::k5_16},
                                            {"3/8", fit::TieSize::k3_8},
                                            {"7/16", fit::TieSize::k7_16},
                                            {"1/2", fit::TieSize::k1_2},
                                            {"5/8", fit::TieSize::k5_8},
                                            {"3/4", fit::TieSize::k3_4},
                                            {"7/8", fit::TieSize::k7_8},
                                            {"1", fit::TieSize::k1}}};
constexpr Words<std::optional<fit::ChainGrade>, 6> kGrades = {{{"30", fit::ChainGrade::k30},
                                                               {"43", fit::ChainGrade::k43},
                                                               {"70", fit::ChainGrade::k70},
                                                               {"80", fit::ChainGrade::k80},
                                                               {"100", fit::ChainGrade::k100},
                                                               {"unmarked", std::nullopt}}};
constexpr Words<fit::TiePath, 3> kPaths = {{{"direct", fit::TiePath::kDirect},
                                            {"same-side", fit::TiePath::kSameSide},
                                            {"other-side", fit::TiePath::kOtherSide}}};
// A machine's own mounting point holds no more than its end: 49 CFR 393.130(c).
constexpr Words<fit::TieEnd, 4> kEnds = {{{"front", fit::TieEnd::kFront},
                                          {"rear", fit::TieEnd::kRear},
                                          {"front-mounting-point", fit::TieEnd::kFront},
                                          {"rear-mounting-point", fit::TieEnd::kRear}}};

constexpr Words<fit::WebbingWidth, 4> kWidths = {{{"1-3/4", fit::WebbingWidth::k1_3_4},
                                                  {"2", fit::WebbingWidth::k2},
                                                  {"3", fit::WebbingWidth::k3},
                                                  {"4", fit::WebbingWidth::k4}}};

/// The words of one tie-down, one after the other; what is not there is empty.
class Spoken {
 public:
  explicit Spoken(std::string_view text) : in_(std::string(text)) {}
  std::string Next() {
    std::string word;
    in_ >> word;
    return word;
  }

 private:
  std::istringstream in_;
};

Outcome<fit::Kilograms> LimitIn(Spoken& spoken, const std::string& of) {
  const std::string number = spoken.Next(), unit = spoken.Next();
  const auto value = yard::ReadMeasuredValue(number + " " + unit);
  if (value && std::holds_alternative<fit::Kilograms>(*value))
    return std::get<fit::Kilograms>(*value);
  return tl::unexpected(Mistyped("tie-down, its " + of, fmt::format("is '{} {}'", number, unit),
                                 fmt::format("write {} 6,600 lb or {} 3,000 kg", of, of)));
}

NoAnswer CannotBeRead(std::string_view text) {
  return Mistyped("tie-down", fmt::format("cannot be read: '{}'", text), kTieForm);
}

Outcome<fit::Device> ReadDevice(Spoken& spoken, std::string_view text) {
  const std::string size = spoken.Next();
  if (size == "marked") {
    const auto limit = LimitIn(spoken, "marked");
    if (!limit) return tl::unexpected(limit.error());
    return fit::Marked{"marked tie-down", *limit};
  }
  const std::string inches = spoken.Next(), kind = spoken.Next();
  if (inches != "in" || (kind != "grade" && kind != "webbing"))
    return tl::unexpected(CannotBeRead(text));
  if (kind == "webbing") {
    const auto width = Word("tie-down, its width", size, kWidths);
    if (!width) return tl::unexpected(width.error());
    return fit::Webbing{*width};
  }
  const auto chain_size = Word("tie-down, its size", size, kSizes);
  if (!chain_size) return tl::unexpected(chain_size.error());
  const auto grade = Word("tie-down, its grade", spoken.Next(), kGrades);
  if (!grade) return tl::unexpected(grade.error());
  return fit::Chain{*chain_size, *grade};
}

Outcome<void> ReadPlace(Spoken& spoken, std::string_view text, fit::Tie& tie) {
  const std::string path = spoken.Next(), end = spoken.Next();
  if (end.empty()) return tl::unexpected(CannotBeRead(text));
  const auto goes = Word("tie-down, its path", path, kPaths);
  if (!goes) return tl::unexpected(goes.error());
  const auto at = Word("tie-down, its end", end, kEnds);
  if (!at) return tl::unexpected(at.error());
  tie.path = *goes;
  tie.end = *at;
  return {};
}

/// "binder 6,600 lb anchor 8,000 lb", each once at most.
Outcome<void> ReadParts(Spoken& spoken, std::string_view text, fit::Tie& tie) {
  for (std::string part = spoken.Next(); !part.empty(); part = spoken.Next()) {
    std::optional<fit::Kilograms>* into = part == "binder"   ? &tie.binder
                                          : part == "anchor" ? &tie.anchor
                                                             : nullptr;
    if (into == nullptr || *into) return tl::unexpected(CannotBeRead(text));
    const auto limit = LimitIn(spoken, part);
    if (!limit) return tl::unexpected(limit.error());
    *into = *limit;
  }
  return {};
}

}  // namespace

Outcome<fit::Tie> ReadTie(std::string_view text) {
  Spoken spoken(text);
  const std::string count = spoken.Next(), by = spoken.Next();
  fit::Tie tie;
  const auto [rest, error] = std::from_chars(count.data(), count.data() + count.size(), tie.count);
  if (error != std::errc() || rest != count.data() + count.size() || by != "x")
    return tl::unexpected(CannotBeRead(text));
  if (tie.count < 1 || tie.count > fit::kMostOfOneTie) {
    return tl::unexpected(Mistyped("tie-down, its count", "is " + count,
                                   fmt::format("write 1 to {}", fit::kMostOfOneTie)));
  }
  const auto device = ReadDevice(spoken, text);
  if (!device) return tl::unexpected(device.error());
  tie.device = *device;
  if (const auto place = ReadPlace(spoken, text, tie); !place) return tl::unexpected(place.error());
  if (const auto parts = ReadParts(spoken, text, tie); !parts) return tl::unexpected(parts.error());
  return tie;
}

Outcome<std::vector<fit::Tie>> ReadTies(std::string_view text) {
  std::vector<fit::Tie> ties;
  for (size_t from = 0; from <= text.size();) {
    const size_t to = std::min(text.find(';', from), text.size());
    const auto tie = ReadTie(text.substr(from, to - from));
    if (!tie) return tl::unexpected(tie.error());
    ties.push_back(*tie);
    from = to + 1;
  }
  return ties;
}

}  // namespace chockwise::survey
