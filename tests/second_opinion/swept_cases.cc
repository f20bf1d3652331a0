// Random trucks and combinations on random lanes, where each of their units stands at some steps,
// what they have to spare beside random obstacles, and the ground of some: one JSON object a line.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <nlohmann/json.hpp>
#include <random>

#include "services/fit/swept_path.h"

namespace chockwise::fit {
namespace {

constexpr long kGroundEvery = 25;

class Cases {
 public:
  explicit Cases(unsigned long seed) : random_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  size_t Below(size_t n) { return static_cast<size_t>(random_() % n); }

  BodyBox Body(double length_m) {
    return {.ahead = InMetres(length_m + Between(0, 1.5)),
            .behind = InMetres(Between(0.2, 3)),
            .left = InMetres(Between(0.9, 1.5)),
            .right = InMetres(Between(0.9, 1.5))};
  }

  SweptPathQuestion Question() {
    SweptPathQuestion question;
    TurningMachine& machine = question.manoeuvre.machine;
    machine.wheelbase = InMetres(Between(2, 7));
    machine.most_steer = Degrees(Between(20, 45));
    machine.boxes = {Body(machine.wheelbase.metres())};
    for (size_t i = Below(4); i > 0; --i) {
      const double length_m = Between(1.5, 13);
      machine.trailers.push_back({.hitch_ahead = InMetres(Between(-2.5, 0.8)),
                                  .hitch_to_axle = InMetres(length_m),
                                  .most_fold = Degrees(120),
                                  .boxes = {Body(length_m)}});
    }
    Point at{Between(-100, 100), Between(-100, 100)};
    double heading_rad = Between(-3, 3);
    question.manoeuvre.line = {at};
    for (size_t i = 2 + Below(3); i > 0; --i) {
      at = at + Between(20, 60) * Unit(heading_rad);
      question.manoeuvre.line.push_back(at);
      heading_rad += Between(0.1, 1.6) * (Below(2) == 0 ? 1 : -1);
    }
    question.manoeuvre.step = InMetres(Below(2) == 0 ? 0.05 : 0.1);
    question.manoeuvre.trace_tolerance = Metres();
    const Point beside = question.manoeuvre.line[1] + Between(3, 9) * Unit(Between(-3.1, 3.1));
    question.obstacles = {{.id = "wall",
                           .kind = SideObstacle::Kind::kLine,
                           .shape = {beside, beside + Between(0, 5) * Unit(Between(-3.1, 3.1))}}};
    return question;
  }

 private:
  std::mt19937_64 random_;
};

nlohmann::json Points(const std::vector<Point>& points) {
  nlohmann::json array = nlohmann::json::array();
  for (const Point point : points) array.push_back({point.x_m, point.y_m});
  return array;
}

nlohmann::json Sides(const BodyBox& box) {
  return {box.ahead.metres(), box.behind.metres(), box.left.metres(), box.right.metres()};
}

nlohmann::json CaseOf(const SweptPathQuestion& question, const SweptPath& swept) {
  const TurningMachine& machine = question.manoeuvre.machine;
  nlohmann::json lengths = {machine.wheelbase.metres()};
  nlohmann::json hitches = nlohmann::json::array();
  for (const Trailer& trailer : machine.trailers) {
    hitches.push_back(trailer.hitch_ahead.metres());
    lengths.push_back(trailer.hitch_to_axle.metres());
  }
  const Driven& driven = swept.driven;
  nlohmann::json units = nlohmann::json::array();
  for (const UnitMotion& unit : driven.units) {
    nlohmann::json poses = nlohmann::json::array();
    for (size_t i = 0; i < unit.frames.size(); i += std::max<size_t>(unit.frames.size() / 12, 1)) {
      const Pose pose = PoseOf(unit.frames[i]);
      poses.push_back({driven.along_m[i], pose.at.x_m, pose.at.y_m, pose.heading_rad});
    }
    units.push_back({{"poses", poses}, {"error_m", unit.error_m}, {"box", Sides(unit.boxes[0])}});
  }
  nlohmann::json one = {
      {"line", Points(question.manoeuvre.line)},
      {"least_radius_m", machine.wheelbase.metres() / std::sin(machine.most_steer.radians())},
      {"lengths_m", lengths},
      {"hitches_m", hitches},
      {"units", units},
      {"length_m", driven.along_m.back()},
      {"obstacle", Points(question.obstacles[0].shape)},
      {"margin_m", swept.margins[0].margin.metres()},
      {"margin_error_m", swept.margins[0].error.metres()}};
  return one;
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  if (argc != 3) {
    std::cerr << "usage: swept_cases SEED COUNT\n";
    return 2;
  }
  Cases cases(std::strtoul(argv[1], nullptr, 10));
  const long count = std::strtol(argv[2], nullptr, 10);
  for (long number = 0; number < count;) {
    const SweptPathQuestion question = cases.Question();
    const Outcome<SweptPath> swept = Sweep(question);
    if (!swept) {
      std::cerr << swept.error().input << ": " << swept.error().problem << "\n";
      return 1;
    }
    if (swept->driven.shortfall) continue;  // refused: nothing to compare
    nlohmann::json one = CaseOf(question, *swept);
    if (number % kGroundEvery == 0)  // a union takes far longer than the rest
      one["ground_m2"] = SweptGround(swept->driven, InMetres(0.01))->AreaM2();
    std::cout << one << "\n";
    ++number;
  }
  return 0;
}
