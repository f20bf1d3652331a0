// Whether a load is tied down as 49 CFR 393 Subpart I asks, and how many more of what it takes.
//
//   Outcome<Securement> tied = JudgeSecurement(
//       {.weight = Pounds(42'000), .length = Feet(20), .kind = LoadKind::kMachine, ...,
//        .ties = {{.device = Chain{TieSize::k3_8, ChainGrade::k70}, .binder = Pounds(6'600),
//                  .anchor = Pounds(8'000), .count = 4}}});
//   DriversLine(*tied, UnitSystem::kUs);      // "4 chains: SHORT 7,800 lb. Add 3 more of 6,600 lb"
//
// Every sum is made in the column, pounds or kilograms, that the caller names: the tables' two
// columns are rounded apart and never mixed. The legal duty stays with driver and carrier. Threads:
// values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"
#include "services/fit/wll_tables.h"

namespace chockwise::fit {

/// Unmarked chain of unknown grade counts as grade 30 (393.108(d)).
struct Chain {
  TieSize size = TieSize::k3_8;
  std::optional<ChainGrade> grade;
};
/// Unmarked cordage counts as polypropylene (393.108(c)).
struct Rope {
  TieSize size = TieSize::k3_8;
  std::optional<RopeKind> kind;
};
struct Webbing {
  WebbingWidth width = WebbingWidth::k2;
};
struct Strapping {
  StrapSize size = StrapSize::k2x0_050;
};
/// A maker's mark, which governs (393.108(b)); nullopt: there is none, or nobody has read it.
struct Marked {
  std::string what;  // "ratchet strap"
  std::optional<Kilograms> limit;
};
/// Unmarked wire rope of known nominal strength: a quarter of it (393.108(e)(1)).
struct WireRopeOfStrength {
  Kilograms nominal_strength;
};
using Device = std::variant<Chain, Rope, Webbing, Strapping, Marked, WireRopeOfStrength>;

/// Where a tie-down goes, from the vehicle's anchor on (393.106(d)).
enum class TiePath {
  kDirect,     // to the cargo: half its limit counts
  kSameSide,   // through, over or around the cargo and back to the same side: half
  kOtherSide,  // over or through, and down to the other side: all of it
};
/// Which end of the load it holds; at a mounting point of the machine, the end that it is nearer
/// to.
enum class TieEnd { kFront, kRear };

inline constexpr int kMostOfOneTie = 50;

/// Forward and rearward are each held (393.130(c)(1)). A mounting point says where a tie-down is
/// fixed (393.130(c)(2)) and waives neither end.
/// Source: a federal drivers' handbook, chapter 9, on 393.128, second-hand: "at least two tiedowns
/// at both the front and rear". For heavier machines: default, the safety lead's to set.
inline constexpr int kLeastAtAnEnd = 2;

/// One kind of tie-down, `count` times. The weakest of the device, of what tightens it and of the
/// vehicle's anchor point governs (393.108(a)); nullopt is unknown, and refused: law 2.
struct Tie {
  Device device;
  std::optional<Kilograms> binder = {};  // chain binder, ratchet or winch
  std::optional<Kilograms> anchor = {};
  TiePath path = TiePath::kDirect;
  TieEnd end = TieEnd::kFront;
  int count = 1;  // to kMostOfOneTie
};

enum class LoadKind {
  kMachine,  // on its own wheels or tracks: 393.130 from 10,000 lb (4,536 kg) on, 393.128 below
  kArticle,  // anything else: 393.110
};
enum class Blocked { kNot, kForward };  // against moving forward, by headboard or other cargo
/// kUnknown is refused: somebody has to look.
enum class Restraint { kUnknown, kNoneNeeded, kRestrained, kFree };

struct LoadOnDeck {
  Kilograms weight;
  Metres length;
  LoadKind kind = LoadKind::kMachine;
  Blocked blocked = Blocked::kNot;
  Restraint articulation = Restraint::kUnknown;  // locked, for machines that bend (393.130(b)(2))
  Restraint accessories = Restraint::kUnknown;   // lowered and tied (393.130(b)(1))
  std::vector<Tie> ties = {};
  UnitSystem column = UnitSystem::kUs;
};

struct Securement {
  Verdict verdict = Verdict::kConflict;
  Kilograms effective;  // what counts of all limits together
  Kilograms needed;     // half the weight
  Kilograms margin;     // may be negative
  int ties = 0;
  int ties_needed = 0;
  std::string called;        // "chain", or "tie-down" where they are of several kinds
  int add = 0;               // how many more of `add_limit` make the sum, the number and both ends
  Kilograms add_limit;       // the limit of one more of what there is most of
  std::string weakest;       // "anchor point": what governs the tie-down with the lowest limit
  std::string held_back_by;  // the same where it is not the tie-down itself; otherwise empty
  std::vector<std::string> findings;  // what else is not as it must be
};

/// Σ limit·(½ or 1) >= ½·weight, and the number, the ends, articulation and accessories.
///
/// Units: the column's own, so pounds add as whole pounds: a load at its limit passes and one pound
/// more fails. A difference below a millionth of a unit is binary noise. Domain: weight up to
/// 500,000 lb, length up to 200 ft, 1 to 50 of each tie-down and at least one, each part with its
/// limit.
/// Where 393.130 asks four, the number by length (393.110) is asked as well and the greater counts
/// (default: the safety lead's to set; 393.110(d) exempts special-purpose machinery from it).
/// Machines of any weight are asked for kLeastAtAnEnd at each end, so four at least: as many as
/// 393.130(c)(1) asks from 10,000 lb on, and more than 393.128 may below it.
Outcome<Securement> JudgeSecurement(const LoadOnDeck& load);

/// Of one tie-down of a kind: the weakest of its parts.
Outcome<Kilograms> LimitOf(const Tie& tie, UnitSystem column);

struct Article {
  Kilograms weight;
  Metres length;
  Blocked blocked = Blocked::kNot;
  UnitSystem column = UnitSystem::kUs;
};

/// How many tie-downs 393.110 asks. Not blocked: 1 up to 5 ft and 1,100 lb, 2 up to 10 ft, then one
/// more for every 10 ft begun. Blocked forward: one for every 10 ft begun. The metric column has
/// 1.52 m, 500 kg and 3.04 m, which is not 10 ft converted.
Outcome<int> TiesNeeded(const Article& article);

std::string DriversLine(const Securement& tied, UnitSystem system);

inline constexpr std::array<std::string_view, 4> kSecurementSources = {
    "49 CFR 393.106(d), 393.108, 393.110: read in a public mirror",
    "49 CFR 393.130 and 393.128: second-hand; two at each end as a federal drivers' handbook reads "
    "it",
    "49 CFR 393.102(a)(2), (b): read in a public mirror",
    "two at each end and the number by length for any machine: default, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kSecurementAssumptions = {
    "hooks and links are as strong as their chain, and the machine's own points hold: look at each",
    "every tie-down is tight, undamaged, kept off edges, and looked at again on the road"};

}  // namespace chockwise::fit
