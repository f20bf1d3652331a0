#include "services/survey/deck.h"

#include <fmt/format.h>

#include "services/survey/words.h"

namespace chockwise::survey {
namespace {

constexpr Words<NearEnd, 2> kNearEnds = {{{"front", NearEnd::kFront}, {"rear", NearEnd::kRear}}};
constexpr Words<int, 2> kWays = {{{"behind", 1}, {"ahead", -1}}};

}  // namespace

Outcome<StoodAt> ReadStood(std::string_view text) {
  const size_t first = text.find(' '), last = text.rfind(' ');
  if (first == std::string_view::npos || first == last)
    return tl::unexpected(Mistyped("place on the deck", fmt::format("is '{}'", text), kStoodForm));
  const auto end =
      Word("place on the deck, its end", std::string(text.substr(0, first)), kNearEnds);
  if (!end) return tl::unexpected(end.error());
  const auto way = Word("place on the deck, its way", std::string(text.substr(last + 1)), kWays);
  if (!way) return tl::unexpected(way.error());
  const std::string length(text.substr(first + 1, last - first - 1));
  const auto value = yard::ReadMeasuredValue(length);
  if (!value || !std::holds_alternative<fit::Metres>(*value) ||
      std::get<fit::Metres>(*value) < fit::Metres()) {
    return tl::unexpected(
        Mistyped("place on the deck, its length", fmt::format("is '{}'", length), kStoodForm));
  }
  return StoodAt{*end, std::get<fit::Metres>(*value) * *way};
}

std::string StoodText(const StoodAt& stood, fit::UnitSystem units) {
  const bool ahead = stood.behind_deck_front < fit::Metres();
  const fit::Metres off = ahead ? -stood.behind_deck_front : stood.behind_deck_front;
  return fmt::format("{} {} {}", stood.end == NearEnd::kFront ? "front" : "rear",
                     Text(off, units, fit::Rounding::kDown), ahead ? "ahead" : "behind");
}

}  // namespace chockwise::survey
