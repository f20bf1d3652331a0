// A yard that is turned and shifted, seen in a mirror, or written in the other units is the same
// yard: every answer has the same verdict and the same number.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "services/fit/geometry.h"
#include "services/yard/plane.h"
#include "tests/survey/every_question.h"

namespace chockwise::survey {
namespace {

using nlohmann::json;

/// Lengths along a lane, and a door's place on it, are taken on planes of their own, which the
/// yard's differs from by what plane.h says: below 0.02 %.
constexpr double kPlaneShare = 2e-4;
/// A way of this yard is no longer, and its bends turn what is along into what is across.
constexpr double kAlongM = 60;

struct Motion {
  fit::Pose to = {};    // where the yard's first place goes, and how far all turns
  bool mirror = false;  // left for right, before
};

/// Degrees of the plane that touches the earth at a position.
class Degrees {
 public:
  explicit Degrees(const yard::Position& origin) : origin_(origin) {
    const yard::Point one = yard::Plane(origin).At(
        {.longitude_deg = origin.longitude_deg + 1, .latitude_deg = origin.latitude_deg + 1});
    a_degree_ = {one.east_m, one.north_m};
  }
  yard::Position At(fit::Point point) const {
    return {.longitude_deg = origin_.longitude_deg + point.x_m / a_degree_.x_m,
            .latitude_deg = origin_.latitude_deg + point.y_m / a_degree_.y_m};
  }

 private:
  yard::Position origin_;
  fit::Point a_degree_;
};

class Moved {
 public:
  Moved(const yard::Position& origin, const Motion& motion)
      : motion_(motion), from_(origin), onto_(Degrees(origin).At(motion.to.at)) {}

  void Move(json& position) const {
    const yard::Point was =
        from_.At(yard::Position{.longitude_deg = position[0], .latitude_deg = position[1]});
    const double north = motion_.mirror ? -was.north_m : was.north_m;
    const yard::Position is = onto_.At(
        fit::FromPose({.at = {}, .heading_rad = motion_.to.heading_rad}, was.east_m, north));
    position[0] = is.longitude_deg;
    position[1] = is.latitude_deg;
  }
  /// Of a geometry, however deep its positions lie. A ring goes on running as it did.
  void MoveAll(json& coordinates) const {
    if (coordinates[0].is_number()) return Move(coordinates);
    for (json& part : coordinates) MoveAll(part);
    const bool ring = coordinates.size() > 3 && coordinates[0][0].is_number() &&
                      coordinates.front() == coordinates.back();
    if (ring && motion_.mirror) std::reverse(coordinates.begin(), coordinates.end());
  }

 private:
  Motion motion_;
  yard::Plane from_;
  Degrees onto_;
};

/// The demo yard with its map moved, and in a mirror what was read to the left and right exchanged.
yard::Yard MovedYard(const Motion& motion) {
  json map = json::parse(FileText("map.geojson"));
  const Moved moved(DemoYard().places.begin()->second.position, motion);
  for (json& feature : map["features"]) moved.MoveAll(feature["geometry"]["coordinates"]);
  yard::YardFiles files{.map_geojson = map.dump(),
                        .machines_csv = FileText("machines.csv"),
                        .people_csv = FileText("people.csv"),
                        .measurements_csv = FileText("measurements.csv"),
                        .rules_txtpb = FileText("rules.txtpb")};
  auto read = yard::ReadYard(files, yard::BaseRulesText(), yard::KnownComputations());
  if (!read) throw std::runtime_error(read.error().front().Text());
  if (!motion.mirror) return *read;
  yard::ChangeReadings(*read, [](yard::Measurement& reading) {
    const auto swap = [&](const char* left, const char* right) {
      if (const size_t at = reading.quantity.find(left); at != std::string::npos)
        reading.quantity.replace(at, std::string(left).size(), right);
      else if (const size_t at_right = reading.quantity.find(right); at_right != std::string::npos)
        reading.quantity.replace(at_right, std::string(right).size(), left);
    };
    swap("-seen-left", "-seen-right");
    swap("left-front-post", "right-front-post");
    swap("left-rear-post", "right-rear-post");
    if (reading.quantity == "eye-left-of-middle")
      reading.value = -std::get<fit::Metres>(reading.value);
    if (const auto* bearing = std::get_if<fit::Angle>(&reading.value);
        bearing != nullptr && reading.quantity.ends_with("-bearing"))
      reading.value = fit::Degrees(360 - bearing->degrees());
  });
  return *read;
}

struct Compared {
  int answers = 0, numbers = 0, refusals = 0, clear = 0, conflict = 0;
  std::map<std::string, double> worst = {};  // by question

  void Hold(const AllHeard& was, const AllHeard& is, const std::map<std::string, double>& may) {
    ASSERT_EQ(was.size(), is.size());
    for (const auto& [name, before] : was) {
      const Heard& after = is.at(name);
      const std::string question = name.substr(0, name.find_first_of(":,"));
      ++answers;
      ASSERT_EQ(before.refused, after.refused) << name << "\n" << before.line << "\n" << after.line;
      refusals += before.refused;
      if (before.refused) continue;
      clear += before.verdict == fit::Verdict::kClear;
      conflict += before.verdict == fit::Verdict::kConflict;
      EXPECT_EQ(before.verdict, after.verdict) << name << "\n" << before.line << "\n" << after.line;
      ASSERT_EQ(before.spare.has_value(), after.spare.has_value()) << name;
      if (!before.spare) continue;
      ++numbers;
      EXPECT_EQ(before.spare->unit, after.spare->unit) << name;
      const double off = std::abs(before.spare->value - after.spare->value);
      const auto found = may.find(question);
      EXPECT_LE(off, found == may.end() ? 1e-9 : found->second) << name << "\n"
                                                                << before.line << "\n"
                                                                << after.line;
      worst[question] = std::max(worst[question], off);
    }
  }
  void Say(const char* what) const {
    std::printf("%s: %d answers, %d clear, %d in conflict, %d refused, %d numbers; worst", what,
                answers, clear, conflict, refusals, numbers);
    for (const auto& [question, off] : worst) std::printf(" %s %.1e", question.c_str(), off);
    std::printf("\n");
    EXPECT_GT(clear, 100);
    EXPECT_GT(conflict, 50);
    EXPECT_GT(numbers, 200);
  }
};

/// How far a number may differ, in metres, of what the plane's own error is in.
std::map<std::string, double> ByThePlane() {
  const double error_m = kPlaneShare * kAlongM;
  return {{"path", error_m},  {"leaves", error_m},   {"under", error_m}, {"ground", error_m},
          {"wires", error_m}, {"register", error_m}, {"stands", error_m}};
}

const AllHeard& OfTheYardItself() {
  static const AllHeard all = [] {
    const yard::Yard yard = DemoYard();
    AllHeard heard = AskEverything(yard);
    heard.merge(AskRegister(yard));
    return heard;
  }();
  return all;
}

void IsTheSame(const Motion& motion, const char* what) {
  const yard::Yard yard = MovedYard(motion);
  AllHeard heard = AskEverything(yard);
  heard.merge(AskRegister(yard));
  Compared compared;
  compared.Hold(OfTheYardItself(), heard, ByThePlane());
  compared.Say(what);
}

TEST(MovedYard, TurnedAQuarterItAnswersTheSame) {
  IsTheSame({.to = {.heading_rad = std::acos(-1.0) / 2}}, "turned a quarter");
}

TEST(MovedYard, TurnedAndShiftedItAnswersTheSame) {
  IsTheSame({.to = {.at = {-310.7, 1'204.3}, .heading_rad = 2.3}}, "turned and shifted");
}

TEST(MovedYard, InAMirrorItAnswersTheSame) { IsTheSame({.mirror = true}, "in a mirror"); }

TEST(MovedYard, TurnedInAMirrorItAnswersTheSame) {
  IsTheSame({.to = {.at = {95.2, -40.4}, .heading_rad = -1.1}, .mirror = true},
            "turned in a mirror");
}

}  // namespace
}  // namespace chockwise::survey
