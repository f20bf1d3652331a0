// The register of what fits: every machine with every attachment that it was measured with, at
// every door of the yard. Made nightly, printed and hung up. What hangs behind a machine passes
// with it, in its rows.
//
//   FitRegister all = RegisterOf(asked, [](Progress at) { ... });
//   for (const FitRow& row : all.rows) if (row.fits != Fits::kGo) Show(row);
//
// Or in parts, on as many threads as there are: RegisterParts.
//
// Time: proportional to machines x attachments x doors. Threads: values; a RegisterParts may be
// asked for its parts on several threads; the progress is told on the caller's thread.
#pragma once

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "services/survey/path.h"

namespace chockwise::survey {

enum class Fits {
  kGo,       // high, wide and over the sill, with all that is asked for
  kTight,    // it goes through, with less beside it than is asked for
  kNo,       // it strikes, grounds, or cannot follow the lane
  kUnknown,  // a reading is missing, too old or dated in the future. Law 2.
};

struct FitRow {
  std::string machine;
  std::string attachment;  // empty: none
  std::string door;
  Fits fits = Fits::kUnknown;
  /// kUnknown: the reading that is missing, and what is wrong with it. kNo and kTight: which way it
  /// goes then, and at what: "reversing from s1-bay-1: shop-1-wall".
  std::string why;
  /// The least of all ways through, less its error: over the machine at the top of its bounce,
  /// beside it, under the belly. Negative: it strikes.
  std::optional<fit::Metres> above, each_side, below;
  std::optional<fit::Instant> oldest;  // of the readings behind it
};

/// The readings that rows stand on: of a machine with an attachment, or of a door.
struct ReadingsBehind {
  std::string of;
  std::string attachment;  // empty: none, or a door
  std::vector<fit::Input> inputs;
};

struct RegisterAsked {
  /// Left out: the most that a gate of the yard asks which computes keeps-clear, either way about.
  std::optional<fit::Metres> needed_each_side = {};
};

struct RegisterNeeds {
  fit::Metres each_side;
  fit::Input side_told;  // who asks for it
  fit::Metres below = fit::kNeededClearance;
};

struct FitRegister {
  fit::Instant as_of;
  RegisterNeeds needs;
  std::vector<FitRow> rows;  // by machine, attachment, door
  std::vector<ReadingsBehind> machines, doors;
  int go = 0, tight = 0, no = 0, unknown = 0;
};

struct Progress {
  size_t done = 0;
  size_t of = 0;  // rows
};

/// The register in parts: one for each machine with each attachment.
///
/// A row is the worst of four ways through the door over its lane: from either side, forwards and
/// reversing. Each is ridden on the lane's profile and driven along its middle, from two lengths of
/// the machine before the door to two lengths behind it or as far as the lane goes, past the jambs
/// and the obstacles of the map. All errors are subtracted: those of the ride and of the drive, and
/// of the profile. Source: kRideSources, kSweptPathSources.
class RegisterParts {
 public:
  RegisterParts(const Asked& asked, const RegisterAsked& what);
  ~RegisterParts();

  size_t parts() const;
  size_t rows_of_part() const;  // doors

  struct Part {
    std::vector<FitRow> rows;
    ReadingsBehind behind;
  };
  Part PartOf(size_t part) const;

  /// All parts in their order, put together.
  FitRegister Whole(std::vector<Part> parts) const;

 private:
  struct Doors;
  struct Carrying {
    size_t yard = 0;  // of yards_
    const yard::Machine* machine = nullptr;
  };
  const Asked asked_;
  const RegisterNeeds needs_;
  /// A machine's readings are those with what it carries today: in the first every machine carries
  /// the first of its attachments, in the second the second.
  std::vector<yard::Yard> yards_;
  std::vector<Carrying> machines_;
  std::unique_ptr<const Doors> doors_;
};

FitRegister RegisterOf(const Asked& asked, const std::function<void(Progress)>& progress,
                       const RegisterAsked& what = {});

inline constexpr std::array<std::string_view, 2> kRegisterSources = {
    "each door's lane ridden on its profile and driven between jambs and walls, the worst of four "
    "ways",
    "bounce 3 in on tyres, 1 in on tracks, 1 in below: common practice"};
inline constexpr std::array<std::string_view, 2> kRegisterAssumptions = {
    "it comes over the door's own lane, straight on its middle two lengths before the door",
    "the machine as it was measured with that attachment, nothing added since"};

}  // namespace chockwise::survey
