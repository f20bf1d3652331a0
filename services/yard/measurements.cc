#include "services/yard/measurements.h"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace chockwise::yard {

struct Measurements::Sought {
  std::string_view subject, quantity, attachment;

  static Sought Of(const Measurement& reading) {
    return {reading.subject, reading.quantity, reading.attachment};
  }
  bool operator<(const Sought& other) const {
    return std::tie(subject, quantity, attachment) <
           std::tie(other.subject, other.quantity, other.attachment);
  }
};

Measurements::Measurements(std::vector<Measurement> in_file_order)
    : all_(std::move(in_file_order)), sorted_(all_.size()) {
  std::iota(sorted_.begin(), sorted_.end(), size_t{0});
  const auto key = [&](size_t i) {
    const Measurement& reading = all_[i];
    return std::tuple(Sought::Of(reading), reading.at, reading.when, i);
  };
  std::ranges::sort(sorted_, [&](size_t a, size_t b) { return key(a) < key(b); });
}

Measurements::Range Measurements::Of(const Sought& sought) const {
  const auto before = [&](size_t i, const Sought& other) { return Sought::Of(all_[i]) < other; };
  const auto after = [&](const Sought& other, size_t i) { return other < Sought::Of(all_[i]); };
  const auto first = std::lower_bound(sorted_.begin(), sorted_.end(), sought, before);
  return {first, std::upper_bound(first, sorted_.end(), sought, after)};
}

const Measurement* Measurements::Latest(std::string_view subject, std::string_view quantity,
                                        std::string_view attachment) const {
  const Range of = Of({subject, quantity, attachment});
  const auto along =
      std::partition_point(of.first, of.last, [&](size_t i) { return !all_[i].at.has_value(); });
  return along == of.first ? nullptr : &all_[*(along - 1)];
}

std::vector<const Measurement*> Measurements::LatestAlong(std::string_view subject,
                                                          std::string_view quantity,
                                                          std::string_view attachment) const {
  const Range of = Of({subject, quantity, attachment});
  std::vector<const Measurement*> in_order;
  for (auto i = of.first; i != of.last; ++i) {
    const Measurement& reading = all_[*i];
    if (!reading.at) continue;
    if (!in_order.empty() && in_order.back()->at == reading.at) in_order.pop_back();
    in_order.push_back(&reading);
  }
  return in_order;
}

double InSi(const MeasuredValue& value) {
  struct Reader {
    double operator()(fit::Metres v) const { return v.metres(); }
    double operator()(fit::Kilograms v) const { return v.kilograms(); }
    double operator()(fit::Grade v) const { return v.rise_over_run(); }
    double operator()(fit::Decibels v) const { return v.decibels(); }
    double operator()(fit::MetresPerSecond v) const { return v.metres_per_second(); }
    double operator()(fit::Angle v) const { return v.radians(); }
    double operator()(fit::Volts v) const { return v.kilovolts() * 1000; }
    double operator()(fit::Lux v) const { return v.lux(); }
    double operator()(fit::Pascals v) const { return v.pascals(); }
  };
  return std::visit(Reader(), value);
}

}  // namespace chockwise::yard
