#include "services/fit/lane_profile.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace chockwise::fit {
namespace {

std::string Shown(Metres length) { return fmt::format("is {:.6g} m", length.metres()); }

std::optional<Unusable> CheckGround(const std::vector<ProfilePoint>& ground) {
  if (ground.size() < 2) {
    return Unusable{"profile", fmt::format("has {} points", ground.size()), "at least 2 points"};
  }
  for (size_t i = 0; i < ground.size(); ++i) {
    const std::string name = fmt::format("profile point {}", i + 1);
    const ProfilePoint& point = ground[i];
    if (std::abs(point.elevation.metres()) > kHighestElevation.metres()) {
      return Unusable{name + " elevation", Shown(point.elevation), "an elevation within 9000 m"};
    }
    if (std::abs(point.along.metres()) > kLongestProfile.metres()) {
      return Unusable{name + " distance", Shown(point.along), "a distance within 100 km"};
    }
    if (i == 0) continue;
    const Metres run = point.along - ground[i - 1].along;
    if (run < Millimetres(1)) {
      return Unusable{name + " distance", Shown(point.along),
                      "a distance at least 1 mm beyond the point before it"};
    }
    const double grade = (point.elevation - ground[i - 1].elevation) / run;
    if (std::abs(grade) > kSteepestGround.rise_over_run() + 1e-9) {
      return Unusable{fmt::format("grade before {}", name), fmt::format("is {:.4g} %", grade * 100),
                      "at most 50 % up or down"};
    }
  }
  return std::nullopt;
}

std::optional<Unusable> CheckWithin(const LaneProfile& lane, const std::string& name, Metres from,
                                    Metres to) {
  if (from < lane.ground.front().along) {
    return Unusable{name + " from", Shown(from), "a distance on the profile"};
  }
  if (to > lane.ground.back().along) {
    return Unusable{name + " to", Shown(to), "a distance on the profile"};
  }
  return std::nullopt;
}

std::optional<Unusable> CheckSills(const LaneProfile& lane) {
  std::vector<const LaneSill*> sorted;
  for (const LaneSill& sill : lane.sills) {
    if (sill.id.empty()) return Unusable{"sill", "has no id", "an id that people know it by"};
    if (sill.height <= Metres() || sill.height > kHighestSill) {
      return Unusable{sill.id + " height", Shown(sill.height), "a height above 0, up to 0.5 m"};
    }
    if (sill.to - sill.from < Millimetres(1)) {
      return Unusable{sill.id + " to", Shown(sill.to), "at least 1 mm beyond its from"};
    }
    if (auto unusable = CheckWithin(lane, sill.id, sill.from, sill.to)) return unusable;
    sorted.push_back(&sill);
  }
  std::ranges::sort(sorted, [](const LaneSill* a, const LaneSill* b) { return a->from < b->from; });
  for (size_t i = 1; i < sorted.size(); ++i) {
    const Metres apart = sorted[i]->from - sorted[i - 1]->to;
    if (apart < 4 * std::max(sorted[i]->height, sorted[i - 1]->height)) {
      return Unusable{sorted[i]->id + " from", Shown(sorted[i]->from),
                      fmt::format("apart from {} by four times the higher one, or one sill",
                                  sorted[i - 1]->id)};
    }
  }
  return std::nullopt;
}

std::optional<Unusable> CheckOverheads(const LaneProfile& lane) {
  for (const Overhead& over : lane.overheads) {
    if (over.id.empty()) return Unusable{"overhead", "has no id", "an id that people know it by"};
    if (over.clear_height <= Metres() || over.clear_height > kHighestOverhead) {
      return Unusable{over.id + " clear height", Shown(over.clear_height),
                      "a height above 0, up to 50 m"};
    }
    if (over.to < over.from) {
      return Unusable{over.id + " to", Shown(over.to), "at its from or beyond it"};
    }
    if (auto unusable = CheckWithin(lane, over.id, over.from, over.to)) return unusable;
  }
  return std::nullopt;
}

}  // namespace

std::optional<Unusable> Check(const LaneProfile& lane) {
  if (auto unusable = CheckGround(lane.ground)) return unusable;
  if (auto unusable = CheckSills(lane)) return unusable;
  return CheckOverheads(lane);
}

Outcome<std::vector<ProfilePoint>> WithVerticalCurve(const std::vector<ProfilePoint>& ground,
                                                     const VerticalCurve& curve) {
  if (auto unusable = CheckGround(ground)) return tl::unexpected(*unusable);
  const auto vertex = std::ranges::find(ground, curve.at, &ProfilePoint::along);
  if (vertex == ground.end() || vertex == ground.begin() || vertex == ground.end() - 1) {
    return tl::unexpected(Unusable{"curve at", Shown(curve.at), "at a point inside the profile"});
  }
  const double half = curve.length.metres() / 2;
  const double room = std::min((vertex->along - (vertex - 1)->along).metres(),
                               ((vertex + 1)->along - vertex->along).metres());
  if (half <= 0 || half > room) {
    return tl::unexpected(Unusable{"curve length", Shown(curve.length),
                                   "a length above 0 that ends before the neighbouring points"});
  }
  const double before =
      (vertex->elevation - (vertex - 1)->elevation) / (vertex->along - (vertex - 1)->along);
  const double behind =
      ((vertex + 1)->elevation - vertex->elevation) / ((vertex + 1)->along - vertex->along);
  const double rounded = std::abs(behind - before) * 2 * half;
  const int pieces =
      std::max(2, static_cast<int>(std::ceil(std::sqrt(rounded / (8 * kCurveError.metres())))));
  std::vector<ProfilePoint> result;
  const auto add = [&result](const ProfilePoint& point) {
    if (result.empty() || point.along - result.back().along >= Millimetres(1)) {
      result.push_back(point);
    }
  };
  for (auto point = ground.begin(); point != vertex; ++point) add(*point);
  for (int i = 0; i <= pieces; ++i) {
    const double x = 2 * half * i / pieces;
    const double off = before * (x - half) + (behind - before) * x * x / (4 * half);
    add({vertex->along + InMetres(x - half), vertex->elevation + InMetres(off)});
  }
  for (auto point = vertex + 1; point != ground.end(); ++point) add(*point);
  return result;
}

}  // namespace chockwise::fit
