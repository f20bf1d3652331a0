// Random machines of every kind of steering, alone and with trailers, forwards and reversing, on
// random lanes: where each of their units stands at some steps, what they have to spare beside
// random obstacles, and the ground of some: one JSON object a line. `swept_cases SEED COUNT
// grounds` draws short lanes, each with its ground.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <nlohmann/json.hpp>
#include <random>
#include <string>

#include "services/fit/swept_path.h"

namespace chockwise::fit {
namespace {

/// How long the lanes are, and which of the ways have their ground told: a union takes far longer
/// than the rest, and on short lanes less.
struct Draw {
  long ground_every = 37;  // prime to the number of kinds: the ground of all kinds
  double least_leg_m = 20;
  double most_leg_m = 60;
  size_t most_legs = 4;
  double least_turn_rad = 0.1;
  double most_turn_rad = 1.6;
  double gentler = 0;  // by so much of itself with every draw that cannot follow its lane
};
constexpr Draw kGrounds = {.ground_every = 1,
                           .least_leg_m = 3,
                           .most_leg_m = 7,
                           .most_legs = 2,
                           .least_turn_rad = 0.01,
                           .most_turn_rad = 0.4,
                           .gentler = 0.3};
constexpr int kMostDraws = 2'000;    // of one kind, until one can follow its lane
constexpr size_t kPosesOfUnit = 24;  // that are compared

struct Kind {
  const char* name;
  Steering steering;
  /// How each trailer hangs on the unit before: "s" a semitrailer, "o" one whose hitch may be right
  /// over the axle, "d" a dolly on its drawbar, "a" any, of which there are one up to all.
  std::string trailers = "";
  Travel travel = Travel::kForwards;
};

const Kind kKinds[] = {
    {"truck", Steering::kFrontAxle},
    {"truck reversing", Steering::kFrontAxle, "", Travel::kReversing},
    {"rear-steered", Steering::kRearAxle},
    {"rear-steered reversing", Steering::kRearAxle, "", Travel::kReversing},
    {"articulated", Steering::kHinge},
    {"articulated reversing", Steering::kHinge, "", Travel::kReversing},
    {"crab", Steering::kCrab},
    {"crab reversing", Steering::kCrab, "", Travel::kReversing},
    {"tracked", Steering::kMiddle},
    {"tracked reversing", Steering::kMiddle, "", Travel::kReversing},
    {"semitrailer", Steering::kFrontAxle, "s"},
    {"semitrailer reversing", Steering::kFrontAxle, "s", Travel::kReversing},
    {"drawbar trailer", Steering::kFrontAxle, "ds"},
    {"drawbar trailer reversing", Steering::kFrontAxle, "ds", Travel::kReversing},
    {"drawbar trailer over its axle reversing", Steering::kFrontAxle, "do", Travel::kReversing},
    {"two semitrailers reversing", Steering::kFrontAxle, "oo", Travel::kReversing},
    {"road train", Steering::kFrontAxle, "aaa"},
    {"articulated with a trailer", Steering::kHinge, "a"},
    {"articulated with a trailer reversing", Steering::kHinge, "a", Travel::kReversing},
    {"tracked with a trailer", Steering::kMiddle, "a"},
    {"tracked with a trailer reversing", Steering::kMiddle, "a", Travel::kReversing},
};

class Cases {
 public:
  Cases(unsigned long seed, const Draw& draw) : random_(seed), draw_(draw) {}

  SweptPathQuestion Question(const Kind& kind, int draw) {
    SweptPathQuestion question;
    question.manoeuvre.machine = Machine(kind);
    question.manoeuvre.travel = kind.travel;
    // A crab's course leaves its heading by no more than its wheels turn.
    const double most_turn_rad = kind.steering == Steering::kCrab ? 0.7 : 1.6;
    const double turn_rad =
        std::min(most_turn_rad, draw_.most_turn_rad) / (1 + draw * draw_.gentler);
    question.manoeuvre.line = Lane(turn_rad);
    question.manoeuvre.step = InMetres(Below(2) == 0 ? 0.05 : 0.1);
    question.manoeuvre.trace_tolerance = Metres();
    const Point beside = question.manoeuvre.line[1] + Between(3, 9) * Unit(Between(-3.1, 3.1));
    question.obstacles = {{.id = "wall",
                           .kind = SideObstacle::Kind::kLine,
                           .shape = {beside, beside + Between(0, 5) * Unit(Between(-3.1, 3.1))}}};
    return question;
  }

 private:
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

  Trailer Behind(char sort) {
    Trailer trailer{.most_fold = Degrees(120)};
    switch (sort) {
      case 'd':
        trailer.hitch_ahead = InMetres(Between(-2.5, -0.8));
        trailer.hitch_to_axle = InMetres(Between(1.5, 3));
        return trailer;  // a dolly has no body of its own
      case 'o':
      case 's':
        trailer.hitch_ahead = InMetres(sort == 'o' && Below(2) == 0 ? 0 : Between(0, 0.8));
        trailer.hitch_to_axle = InMetres(Between(4, 13));
        break;
      default:
        trailer.hitch_ahead = InMetres(Between(-2.5, 0.8));
        trailer.hitch_to_axle = InMetres(Between(1.5, 13));
    }
    trailer.boxes = {Body(trailer.hitch_to_axle.metres())};
    return trailer;
  }

  TurningMachine Machine(const Kind& kind) {
    TurningMachine machine{.steering = kind.steering};
    const double wheelbase_m = Between(2, 7);
    machine.boxes = {Body(wheelbase_m)};
    switch (kind.steering) {
      case Steering::kFrontAxle:
      case Steering::kRearAxle:
        machine.wheelbase = InMetres(wheelbase_m);
        machine.most_steer = Degrees(Between(20, 45));
        break;
      case Steering::kHinge:
        machine.wheelbase = InMetres(Between(1, 3));
        machine.hinge_to_rear = InMetres(Between(1, 3));
        machine.most_steer = Degrees(Between(25, 45));
        machine.rear_boxes = {Body(1)};
        break;
      case Steering::kCrab:
        machine.most_steer = Degrees(80);
        break;
      case Steering::kMiddle:
        machine.least_radius = InMetres(Below(2) == 0 ? 0 : Between(1, 6));
        if (Below(2) == 0)
          machine.upper = {.centre_ahead = InMetres(Between(-0.5, 0.5)),
                           .tail_radius = InMetres(Between(1, 3))};
        break;
    }
    const size_t trailers = kind.trailers.size();
    const size_t drawn = trailers > 0 && kind.trailers[0] == 'a' ? 1 + Below(trailers) : trailers;
    for (size_t i = 0; i < drawn; ++i) machine.trailers.push_back(Behind(kind.trailers[i]));
    return machine;
  }

  Line Lane(double most_turn_rad) {
    Point at{Between(-100, 100), Between(-100, 100)};
    double heading_rad = Between(-3, 3);
    const double least_turn_rad = std::min(draw_.least_turn_rad, most_turn_rad / 2);
    Line line = {at};
    for (size_t i = 2 + Below(draw_.most_legs - 1); i > 0; --i) {
      at = at + Between(draw_.least_leg_m, draw_.most_leg_m) * Unit(heading_rad);
      line.push_back(at);
      heading_rad += Between(least_turn_rad, most_turn_rad) * (Below(2) == 0 ? 1 : -1);
    }
    return line;
  }

  std::mt19937_64 random_;
  const Draw& draw_;
};

nlohmann::json Pair(Point point) { return {point.x_m, point.y_m}; }

nlohmann::json Points(const std::vector<Point>& points) {
  nlohmann::json array = nlohmann::json::array();
  for (const Point point : points) array.push_back(Pair(point));
  return array;
}

nlohmann::json Rings(const Region& region) {
  nlohmann::json outlines = nlohmann::json::array();
  for (const Outline& outline : region.Outlines()) {
    nlohmann::json holes = nlohmann::json::array();
    for (const Ring& hole : outline.holes) holes.push_back(Points(hole));
    outlines.push_back({{"outer", Points(outline.outer)}, {"holes", holes}});
  }
  return outlines;
}

nlohmann::json MachineOf(const TurningMachine& machine) {
  nlohmann::json trailers = nlohmann::json::array();
  for (const Trailer& trailer : machine.trailers)
    trailers.push_back({trailer.hitch_ahead.metres(), trailer.hitch_to_axle.metres()});
  nlohmann::json json = {{"wheelbase", machine.wheelbase.metres()},
                         {"hinge_to_rear", machine.hinge_to_rear.metres()},
                         {"steer", machine.most_steer.radians()},
                         {"radius", machine.least_radius.metres()},
                         {"trailers", trailers}};
  switch (machine.steering) {
    case Steering::kFrontAxle:
      json["steering"] = "front";
      break;
    case Steering::kRearAxle:
      json["steering"] = "rear";
      break;
    case Steering::kHinge:
      json["steering"] = "hinge";
      break;
    case Steering::kCrab:
      json["steering"] = "crab";
      break;
    case Steering::kMiddle:
      json["steering"] = "middle";
      break;
  }
  if (machine.upper)
    json["upper"] = {machine.upper->centre_ahead.metres(),
                     (machine.upper->tail_radius + machine.upper->clearance).metres()};
  return json;
}

/// Where a step is: the piece of the line and which part of it has been driven.
struct InPiece {
  int piece = 0;
  double part = 0;
};
std::vector<InPiece> PlacesOf(const Driven& driven) {
  std::vector<InPiece> places = {{1, 0}};
  for (size_t from = 1; from < driven.piece.size();) {
    size_t to = from;
    while (to < driven.piece.size() && driven.piece[to] == driven.piece[from]) ++to;
    for (size_t i = from; i < to; ++i)
      places.push_back(
          {driven.piece[i], static_cast<double>(i - from + 1) / static_cast<double>(to - from)});
    from = to;
  }
  return places;
}

/// Some of its poses and the ones a step after them, within one piece.
nlohmann::json UnitsOf(const Driven& driven) {
  const std::vector<InPiece> places = PlacesOf(driven);
  nlohmann::json units = nlohmann::json::array();
  for (const UnitMotion& unit : driven.units) {
    const auto pose_at = [&](size_t i, InPiece place) -> nlohmann::json {
      const Pose pose = PoseOf(unit.frames[i]);
      return {i, place.piece, place.part, pose.at.x_m, pose.at.y_m, pose.heading_rad};
    };
    nlohmann::json poses = nlohmann::json::array();
    nlohmann::json nexts = nlohmann::json::array();
    const size_t every = std::max<size_t>(unit.frames.size() / kPosesOfUnit, 1);
    for (size_t i = 0; i + 1 < unit.frames.size(); i += every) {
      const InPiece next = places[i + 1];
      // The last step of a piece is the first of the next one as well.
      poses.push_back(
          pose_at(i, places[i].piece == next.piece ? places[i] : InPiece{next.piece, 0}));
      nexts.push_back(pose_at(i + 1, next));
    }
    nlohmann::json json = {{"poses", poses},
                           {"nexts", nexts},
                           {"error_m", unit.error_m},
                           {"steps_error_m", unit.steps_error_m}};
    for (const BodyBox& box : unit.boxes)
      json["box"] = {box.ahead.metres(), box.behind.metres(), box.left.metres(),
                     box.right.metres()};
    units.push_back(json);
  }
  return units;
}

/// Of a combination that is pushed: the whole way of its hindmost axle, which leads it and follows
/// the line, and each unit's heading at the start and at the end. (Which of both is the one that
/// its motion was solved from depends on the side of its axle that its hitch is on.)
nlohmann::json PushedOf(const Driven& driven) {
  nlohmann::json way = nlohmann::json::array();
  nlohmann::json courses = nlohmann::json::array();
  for (const AxleFrame& frame : driven.units.back().frames) {
    way.push_back(Pair(frame.at));
    courses.push_back(Pair(-1 * frame.along));
  }
  nlohmann::json starts = nlohmann::json::array();
  nlohmann::json ends = nlohmann::json::array();
  for (const UnitMotion& unit : driven.units) {
    starts.push_back(PoseOf(unit.frames.front()).heading_rad);
    ends.push_back(PoseOf(unit.frames.back()).heading_rad);
  }
  return {
      {"way", way},       {"courses", courses}, {"along", driven.along_m}, {"piece", driven.piece},
      {"starts", starts}, {"ends", ends}};
}

nlohmann::json CaseOf(const Kind& kind, const SweptPathQuestion& question, const SweptPath& swept) {
  const TurningMachine& machine = question.manoeuvre.machine;
  const Driven& driven = swept.driven;
  nlohmann::json one = {{"kind", kind.name},
                        {"reversing", kind.travel == Travel::kReversing},
                        {"machine", MachineOf(machine)},
                        {"line", Points(question.manoeuvre.line)},
                        {"step", question.manoeuvre.step.metres()},
                        {"units", UnitsOf(driven)},
                        {"length_m", driven.along_m.back()},
                        {"obstacle", Points(question.obstacles[0].shape)},
                        {"margin_m", swept.margins[0].margin.metres()},
                        {"margin_error_m", swept.margins[0].error.metres()}};
  if (kind.travel == Travel::kReversing && !machine.trailers.empty())
    one["pushed"] = PushedOf(driven);
  return one;
}

/// Draws until one can follow its lane; nullopt where none can, which is a fault of the draw.
std::optional<nlohmann::json> CaseOf(const Kind& kind, bool with_ground, Cases& cases) {
  for (int draw = 0; draw < kMostDraws; ++draw) {
    const SweptPathQuestion question = cases.Question(kind, draw);
    const Outcome<SweptPath> swept = Sweep(question);
    if (!swept) {
      std::cerr << kind.name << ": " << swept.error().input << " " << swept.error().problem << "\n";
      return std::nullopt;
    }
    if (swept->driven.shortfall) continue;  // refused: nothing to compare
    nlohmann::json one = CaseOf(kind, question, *swept);
    if (with_ground) one["ground"] = Rings(*SweptGround(swept->driven, InMetres(0.01)));
    return one;
  }
  std::cerr << kind.name << ": none of " << kMostDraws << " could follow its lane\n";
  return std::nullopt;
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  const bool grounds = argc == 4 && std::string(argv[3]) == "grounds";
  if (argc != 3 && !grounds) {
    std::cerr << "usage: swept_cases SEED COUNT [grounds]\n";
    return 2;
  }
  const Draw draw = grounds ? kGrounds : Draw{};
  Cases cases(std::strtoul(argv[1], nullptr, 10), draw);
  const long count = std::strtol(argv[2], nullptr, 10);
  for (long number = 0; number < count; ++number) {
    const auto one = CaseOf(kKinds[static_cast<size_t>(number) % std::size(kKinds)],
                            number % draw.ground_every == 0, cases);
    if (!one) return 1;
    std::cout << *one << "\n";
  }
  return 0;
}
