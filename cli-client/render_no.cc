// Screens that say no.

#include <fmt/format.h>

#include <algorithm>

#include "cli-client/gates.h"
#include "cli-client/render.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

constexpr int kLabelColumn = 12;

std::string About(const NoFacts& facts) {
  std::string text = facts.heading;
  if (!facts.move.empty()) text += ": move " + facts.move;
  if (!facts.machine.empty()) text += (facts.move.empty() ? ": " : ", ") + facts.machine;
  return text;
}

Lines Unmet(const v1::UnmetGates& unmet, const NoFacts& facts, const Style& style) {
  const std::string count = Counted(unmet.gates_size(), "gate");
  const std::string_view verb = unmet.gates_size() == 1 ? "is" : "are";
  Lines lines{
      Inked(style, Ink::kBad,
            Cut(Clean(style, fmt::format("{}. {} {} not clear.", About(facts), count, verb)),
                style.width))};
  const int footer = facts.again.empty() ? 0 : 1;
  Append(lines, GatesByWhoClears({.gates = OpenGates(unmet),
                                  .lines = style.height - 2 - footer,
                                  .move = facts.move,
                                  .viewer = facts.viewer},
                                 style));
  if (footer > 0)
    lines.push_back(
        Cut(fmt::format("Your own: chockwise walk {}   Then again: {}", facts.move, facts.again),
            style.width));
  return lines;
}

Lines Bullet(std::string_view label, std::string_view text, const Style& style) {
  if (text.empty()) return {};
  Lines lines = Wrap(Clean(style, text), {.width = style.width, .indent = kLabelColumn});
  if (!lines.empty()) lines.front().replace(0, kLabelColumn, Padded(label, kLabelColumn));
  return lines;
}

Lines Refused(const v1::Refused& refused, const NoFacts& facts, const Style& style) {
  Lines lines{Inked(style, Ink::kBad, Cut(Clean(style, About(facts) + "."), style.width))};
  Append(lines, Bullet("What", refused.problem(), style));
  Append(lines, Bullet("What helps", refused.remedy(), style));
  Append(lines, Bullet("Rule", refused.rule(), style));
  return lines;
}

Lines Violations(const v1::FieldViolations& violations, const Style& style) {
  const auto room = static_cast<std::size_t>(style.height - 2);
  Lines lines{Inked(style, Ink::kBad, "What was given cannot be used:")};
  for (const v1::FieldViolations::Violation& violation : violations.violations()) {
    Append(lines, Wrap(Clean(style, fmt::format("{}: {}", violation.field(), violation.problem())),
                       {.width = style.width, .indent = 2, .hanging = 2}));
  }
  if (lines.size() > room) {
    lines.resize(room - 1);
    lines.emplace_back("  ... and more: --json shows every one");
  }
  return lines;
}

std::string_view Advice(grpc::StatusCode code) {
  switch (code) {
    case grpc::StatusCode::UNAUTHENTICATED:
      return "Your token is missing, wrong, over or revoked. Give it with --token-file FILE or in "
             "CHOCKWISE_TOKEN; a "
             "safety lead issues a new one with: chockwise token issue PERSON";
    case grpc::StatusCode::PERMISSION_DENIED:
      return "This is another person's to do. chockwise whoami shows your roles.";
    case grpc::StatusCode::DATA_LOSS:
      return "Release nothing. Stop what moves, leave the ledger's files as they are, and call the "
             "safety lead.";
    default:
      return "";
  }
}

Lines Plain(const No& no, const NoFacts& facts, const Style& style) {
  Lines lines{Inked(style, Ink::kBad, Cut(Clean(style, About(facts) + "."), style.width))};
  Append(lines, Bullet("What", no.message.empty() ? CodeName(no.code) : no.message, style));
  Append(lines, Bullet("What helps", Advice(no.code), style));
  return lines;
}

std::string_view AwayWords(grpc::StatusCode code) {
  if (code == grpc::StatusCode::DEADLINE_EXCEEDED) return "THE SERVER DID NOT ANSWER IN TIME";
  if (code == grpc::StatusCode::RESOURCE_EXHAUSTED) return "THE SERVER IS TOO BUSY";
  return "THE SERVER IS AWAY";
}

}  // namespace

Lines NoScreen(const No& no, const NoFacts& facts, const Style& style) {
  if (no.unmet && !no.unmet->gates().empty()) return Unmet(*no.unmet, facts, style);
  if (no.violations && !no.violations->violations().empty())
    return Violations(*no.violations, style);
  if (no.refused) return Refused(*no.refused, facts, style);
  if (ExitCodeFor(no.code) == ExitCode::kServerAway) return AwayScreen(no, facts, style);
  return Plain(no, facts, style);
}

Lines AwayScreen(const No& no, const NoFacts& facts, const Style& style) {
  Lines lines{Inked(style, Ink::kBad, std::string(AwayWords(no.code)))};
  if (!no.message.empty()) lines.push_back(Cut("  " + Clean(style, no.message), style.width));
  const auto say = [&](std::string_view text) {
    Append(lines, Wrap(text, {.width = style.width, .hanging = 2}));
  };
  say("- No new release until it is back. Chocks stay in.");
  say("- A move under way finishes by eyes and hands, or stops. Any doubt: stop.");
  say("- To stop: both arms up or crossed, voice, horn. That needs no server.");
  say("- Printed cards with two named people and radio: only if your safety lead allows it for "
      "this kind of move.");
  if (!facts.request_id.empty()) {
    say("- It is not known whether this was recorded. Give the same command again with");
    lines.push_back("    --request-id " + facts.request_id);
    lines.emplace_back("  and it cannot be done twice.");
  }
  return lines;
}

}  // namespace chockwise::cli
