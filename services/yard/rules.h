// The rules of a yard while they are read: two texts, base and local, parsed, checked and merged.
#pragma once

#include <google/protobuf/text_format.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "chockwise/v1/rules.pb.h"
#include "services/yard/draft.h"
#include "services/yard/notes.h"

namespace chockwise::yard {

enum class RulesFile { kBase, kLocal };

/// A message of the rules and where in its file it and its fields stand.
class RuleSpot {
 public:
  using Tree = google::protobuf::TextFormat::ParseInfoTree;

  /// The whole file.
  RuleSpot(const google::protobuf::Message& message, const Tree* tree, Notes& notes)
      : message_(&message), tree_(tree), notes_(&notes) {}

  /// A message in a repeated field (index from 0) or in a singular one (index -1). `where` is its
  /// id, or the outer message's where that is empty.
  RuleSpot Nested(const char* field, int index, const google::protobuf::Message& message,
                  std::string where) const;

  /// Complains at the field's line, or at the message's where the field is not written.
  void Complain(const char* field, std::string problem, std::string right, int index = -1) const;

 private:
  int LineOf(const char* field, int index) const;

  const google::protobuf::Message* message_;
  const Tree* tree_;
  Notes* notes_;
  int line_ = 0;
  std::string where_;
};

struct ParsedRules {
  v1::Rules rules;
  std::unique_ptr<RuleSpot::Tree> tree = std::make_unique<RuleSpot::Tree>();
  bool complete = false;  // parsed to its end, perhaps with unknown fields left out
};

/// Parses one text of rules and complains about its form. Unknown fields are complaints, never
/// dropped.
ParsedRules ParseRules(std::string_view bytes, Notes& notes);

/// What the checks of one file look at beside it.
struct RulesContext {
  RulesFile file = RulesFile::kLocal;
  const v1::Rules* base =
      nullptr;  // whose gates and sets a local file may name; null for the base itself
  const Computations* known = nullptr;
};

/// Checks every message of one file by itself and its references.
void CheckRules(const ParsedRules& parsed, const RulesContext& context, Notes& notes);

/// The base rules with the local ones on top. Complains about each thing that the local rules would
/// loosen.
v1::Rules MergeRules(const v1::Rules& base, const ParsedRules& local, const Computations& known,
                     Notes& notes);

/// Reads both texts into draft.yard.rules and draft.yard.id.
void ReadRules(std::string_view local_bytes, std::string_view base_bytes, const Computations& known,
               Draft& draft, Complaints& complaints);

/// The parameters of a computed gate in the order in which they were written, equal keys included:
/// a map keeps only the last of two, but the list that the parser made of it has both.
std::vector<std::pair<std::string, std::string>> WrittenParameters(const v1::Computed& computed);

/// A proto duration as ours. Unset where it is not a valid one of whole microseconds.
std::optional<fit::Duration> ReadDuration(const google::protobuf::Duration& duration);

/// "5 min", "2 h", "90 s": for complaints.
std::string DurationText(const google::protobuf::Duration& duration);

}  // namespace chockwise::yard
