#include <fmt/format.h>
#include <google/protobuf/io/tokenizer.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>

#include "services/yard/limits.h"
#include "services/yard/rules.h"

namespace chockwise::yard {
namespace {

/// The parser's complaints, as ours. It counts lines and columns from 0.
class ParserNotes : public google::protobuf::io::ErrorCollector {
 public:
  explicit ParserNotes(Notes& notes) : notes_(notes) {}
  void AddError(int line, google::protobuf::io::ColumnNumber column,
                const std::string& message) override {
    notes_.Add({.line = line + 1,
                .problem = fmt::format("column {}: {}", column + 1, ParserWords(message)),
                .right = "see proto/chockwise/v1/rules.proto for what may stand here"});
  }
  // What the parser would let pass is a complaint too: an unknown field drops what it was meant to
  // say.
  void AddWarning(int line, google::protobuf::io::ColumnNumber column,
                  const std::string& message) override {
    AddError(line, column, message);
  }

 private:
  static std::string ParserWords(std::string_view message) {
    constexpr size_t kMost = 300;
    if (message.ends_with('.')) message.remove_suffix(1);
    return Plain(message, kMost);
  }

  Notes& notes_;
};

void CheckOwner(const ParsedRules& local, const Draft& draft, Notes& notes) {
  const std::string& owner = local.rules.owner();
  if (!IsId(owner)) return;  // a complaint of its own
  const RuleSpot spot(local.rules, local.tree.get(), notes);
  if (draft.people.Dangles(owner)) {
    spot.Complain("owner", Quoted(owner) + " is not in people.csv",
                  KnownNames(owner, Names(draft.people.ids)));
    return;
  }
  const Person* person = draft.yard.FindPerson(owner);
  if (person != nullptr && !person->roles.contains(Role::kSafetyLead)) {
    spot.Complain("owner", Quoted(owner) + " is not a safety lead",
                  "name a safety lead of people.csv");
  }
}

}  // namespace

RuleSpot RuleSpot::Nested(const char* field, int index, const google::protobuf::Message& message,
                          std::string where) const {
  RuleSpot nested = *this;
  nested.line_ = LineOf(field, index);
  if (!where.empty()) nested.where_ = std::move(where);
  nested.message_ = &message;
  nested.tree_ = tree_ == nullptr ? nullptr
                                  : tree_->GetTreeForNested(
                                        message_->GetDescriptor()->FindFieldByName(field), index);
  return nested;
}

int RuleSpot::LineOf(const char* field, int index) const {
  const auto* descriptor = message_->GetDescriptor()->FindFieldByName(field);
  if (tree_ == nullptr || descriptor == nullptr) return line_;
  if (descriptor->is_repeated() && index < 0) index = 0;
  auto location = tree_->GetLocation(descriptor, index);
  if (location.line < 0 && index > 0)
    location = tree_->GetLocation(descriptor, 0);  // [A, B] is one place
  return location.line < 0 ? line_ : location.line + 1;
}

void RuleSpot::Complain(const char* field, std::string problem, std::string right,
                        int index) const {
  notes_->Add({.line = LineOf(field, index),
               .where = where_,
               .field = field,
               .problem = std::move(problem),
               .right = std::move(right)});
}

ParsedRules ParseRules(std::string_view bytes, Notes& notes) {
  constexpr int kDepth = 10;
  ParsedRules parsed;
  const auto text = ReadText(bytes, kRulesBytes, notes);
  if (!text) return parsed;
  ParserNotes parser_notes(notes);
  google::protobuf::TextFormat::Parser parser;
  parser.RecordErrorsTo(&parser_notes);
  parser.WriteLocationsTo(parsed.tree.get());
  parser.AllowUnknownField(
      true);  // so that parsing goes on behind one; the warning becomes a complaint
  parser.SetRecursionLimit(kDepth);
  google::protobuf::io::ArrayInputStream stream(text->data(), static_cast<int>(text->size()));
  parsed.complete = parser.Parse(&stream, &parsed.rules);
  if (!parsed.complete) parsed.rules.Clear();
  return parsed;
}

std::vector<std::pair<std::string, std::string>> WrittenParameters(const v1::Computed& computed) {
  const auto* field = computed.GetDescriptor()->FindFieldByName("parameters");
  const auto* reflection = computed.GetReflection();
  std::vector<std::pair<std::string, std::string>> parameters;
  for (int i = 0; i < reflection->FieldSize(computed, field); ++i) {
    const auto& entry = reflection->GetRepeatedMessage(computed, field, i);
    const auto text = [&entry](const char* name) {
      return entry.GetReflection()->GetString(entry, entry.GetDescriptor()->FindFieldByName(name));
    };
    parameters.emplace_back(text("key"), text("value"));
  }
  return parameters;
}

std::optional<fit::Duration> ReadDuration(const google::protobuf::Duration& duration) {
  constexpr int64_t kMostSeconds = int64_t{kLongestAgeDays} * 86'400;
  const bool whole_micros =
      duration.nanos() % 1'000 == 0 && duration.nanos() >= 0 && duration.nanos() < 1'000'000'000;
  if (!whole_micros || duration.seconds() < 0 || duration.seconds() > kMostSeconds)
    return std::nullopt;
  return fit::Seconds(duration.seconds()) + fit::Duration::FromMicros(duration.nanos() / 1'000);
}

std::string DurationText(const google::protobuf::Duration& duration) {
  const int64_t seconds = duration.seconds();
  if (duration.nanos() != 0) return fmt::format("{} s and {} ns", seconds, duration.nanos());
  if (seconds != 0 && seconds % 3'600 == 0) return fmt::format("{} h", seconds / 3'600);
  if (seconds != 0 && seconds % 60 == 0) return fmt::format("{} min", seconds / 60);
  return fmt::format("{} s", seconds);
}

void ReadRules(std::string_view local_bytes, std::string_view base_bytes, const Computations& known,
               Draft& draft, Complaints& complaints) {
  Notes base_notes("base rules", complaints);
  const ParsedRules base = ParseRules(base_bytes, base_notes);
  if (base.complete)
    CheckRules(base, {.file = RulesFile::kBase, .base = nullptr, .known = &known}, base_notes);

  Notes notes("rules.txtpb", complaints);
  const ParsedRules local = ParseRules(local_bytes, notes);
  if (!local.complete) return;
  CheckOwner(local, draft, notes);
  if (!base.complete) return;  // every gate that it names would be unknown
  CheckRules(local, {.file = RulesFile::kLocal, .base = &base.rules, .known = &known}, notes);
  draft.yard.rules = MergeRules(base.rules, local, known, notes);
  draft.yard.id = draft.yard.rules.yard_id();
}

}  // namespace chockwise::yard
