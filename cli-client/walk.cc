// Walking one's own gates: one question at a time, in the order of the rules, nothing ticked
// beforehand. Each word is sent as it is given, so that its clock starts when it was true.
//
//   c                 clear
//   stop              stops the move
//   words             what is wrong: the gate stays not clear
//   end of input      leaves; what was given stands
//
// Enter alone, and a key that is hit by a glove or twice, say nothing: the question is asked again.
// Where a gate asks for a count, the number is the word; where it asks for a painted code or a
// note, that is asked next. The path is asked leg by leg: nobody looks at a whole path at once.

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <set>
#include <utility>

#include "cli-client/steps.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"
#include "services/survey/deck.h"
#include "services/survey/ties.h"

namespace chockwise::cli {
namespace {

using Moves = v1::MoveService::Stub;

/// The gate of the base rules that is asked leg by leg.
constexpr std::string_view kPathGate = "path-walked";
constexpr int kMostFindingColumns = 200;

/// "bay-2 to door-3", "door-3 to apron-north": the legs that lie ahead of the machine.
std::vector<std::string> LegsAhead(const v1::Move& move) {
  std::vector<std::string> points{move.from_place()};
  points.insert(points.end(), move.stops().begin(), move.stops().end());
  points.push_back(move.to_place());
  std::vector<std::string> legs;
  for (std::size_t i = static_cast<std::size_t>(std::max(0, move.stops_passed()));
       i + 1 < points.size(); ++i) {
    legs.push_back(fmt::format("{} to {}", points[i], points[i + 1]));
  }
  return legs;
}

constexpr std::string_view kClearPrompt = "  c = clear, or say what is wrong > ";

bool IsStop(const std::string& typed) { return typed == "stop" || typed == "STOP"; }
bool IsClear(const std::string& typed) {
  return typed == "c" || typed == "C" || typed == "clear" || typed == "CLEAR";
}
/// One key, however often: neither a word on a gate nor words for what is wrong.
bool IsSlip(const std::string& typed) {
  return typed.find_first_not_of(typed.substr(0, 1)) == std::string::npos;
}

bool Counts(const v1::Gate& gate) {
  return gate.evidence() == v1::EVIDENCE_COUNT_PICKED_UP ||
         gate.evidence() == v1::EVIDENCE_COUNT_PUT_DOWN;
}

/// What came of one question.
enum class Answer { kGiven, kLeft, kStop };

class Walker {
 public:
  Walker(Cli& cli, std::string name, v1::Identity me)
      : cli_(cli), name_(std::move(name)), me_(std::move(me)) {}

  ExitCode Run() {
    if (const ExitCode exit = Fetch(); exit != ExitCode::kOk) return exit;
    cli_.PrintBanner();
    if (move_.phase() == v1::PHASE_UNSPECIFIED) return NothingAsked();
    total_ = GatesWaitingFor(move_, me_);
    if (total_ == 0) return Finished();
    while (const v1::Gate* gate = NextGate()) {
      asked_.insert(gate->gate_id());
      const v1::Gate question = *gate;
      switch (AskOne(question)) {
        case Answer::kGiven:
          break;
        case Answer::kLeft:
          cli_.PrintLine("Left here. What you gave stands while it is fresh.");
          return ExitCode::kOk;
        case Answer::kStop:
          return Stop(cli_, name_, v1::STOP_CAUSE_CALLED, "");
      }
      if (exit_ == ExitCode::kServerAway) return exit_;
      // A gate that is given last shows itself only when the others are clear.
      if (const ExitCode exit = Fetch(); exit != ExitCode::kOk) return exit;
      SayWhetherItBalances(question);
    }
    return Finished();
  }

 private:
  ExitCode Fetch() {
    v1::GetMoveRequest request;
    request.set_name(name_);
    const grpc::Status status =
        cli_.session().Call(cli_.session().moves(), &Moves::GetMove, request, move_);
    return status.ok() ? ExitCode::kOk : cli_.Say(ReadNo(status), {.move = LastPart(name_)});
  }

  /// Given-last gates stay behind the others, whatever the order in which they came.
  const v1::Gate* NextGate() const {
    for (const bool last : {false, true}) {
      for (const v1::Gate& gate : move_.gates()) {
        if (gate.given_last() != last || asked_.contains(gate.gate_id())) continue;
        if (WaitsFor(gate, move_, me_)) return &gate;
      }
    }
    return nullptr;
  }

  void PrintQuestion(const v1::Gate& gate) {
    const std::string head =
        fmt::format("[{}/{}] {}", asked_.size(),
                    std::max<std::size_t>(asked_.size(), static_cast<std::size_t>(total_)),
                    Clean(cli_.style, gate.title()));
    const std::string about =
        Clean(cli_.style, fmt::format("move {}  {}", LastPart(name_), move_.machine()));
    const int left = cli_.style.width - Columns(about) - 2;
    cli_.PrintLine("");
    cli_.PrintLine(Inked(cli_.style, Ink::kLoud, Padded(head, left)) + "  " + about);
    cli_.Print(Wrap(Clean(cli_.style, gate.question()), {.width = cli_.style.width, .indent = 2}));
    if (gate.state() == v1::GATE_STATE_NOT_CLEAR || gate.state() == v1::GATE_STATE_STALE) {
      const std::string why = gate.reason().empty() ? "" : ": " + Clean(cli_.style, gate.reason());
      cli_.PrintLine("  " + StateTag(cli_.style, gate.state()) + Cut(why, cli_.style.width - 14));
    }
  }

  Answer AskOne(const v1::Gate& gate) {
    PrintQuestion(gate);
    v1::ConfirmRequest request;
    request.set_name(name_);
    request.set_gate_id(gate.gate_id());
    const Answer answer = Counts(gate)                  ? AskCount(gate, request)
                          : gate.gate_id() == kPathGate ? AskLegs(request)
                                                        : AskClear(gate, request);
    if (answer != Answer::kGiven) return answer;
    Give(request, gate);
    return Answer::kGiven;
  }

  Answer AskLegs(v1::ConfirmRequest& request) {
    const std::vector<std::string> legs = LegsAhead(move_);
    std::string findings;
    for (std::size_t i = 0; i < legs.size(); ++i) {
      cli_.PrintLine(
          Clean(cli_.style, fmt::format("  Leg {} of {}: {}", i + 1, legs.size(), legs[i])));
      const auto typed = AskWord();
      if (!typed) return Answer::kLeft;
      if (IsStop(*typed)) return Answer::kStop;
      if (!IsClear(*typed))
        findings += fmt::format("{}{}: {}", findings.empty() ? "" : "; ", legs[i], *typed);
    }
    request.set_finding(Cut(findings, kMostFindingColumns));
    return Answer::kGiven;
  }

  Answer AskClear(const v1::Gate& gate, v1::ConfirmRequest& request) {
    const auto typed = AskWord();
    if (!typed) return Answer::kLeft;
    if (IsStop(*typed)) return Answer::kStop;
    if (!IsClear(*typed)) {
      request.set_finding(*typed);
      return Answer::kGiven;
    }
    if (gate.evidence() == v1::EVIDENCE_POST_CODE)
      return AskFor("  Code painted where you stand > ", *request.mutable_post_code());
    if (gate.evidence() == v1::EVIDENCE_NOTE)
      return AskFor("  Name what you saw > ", *request.mutable_note());
    if (gate.evidence() == v1::EVIDENCE_TIES) return AskTies(*request.mutable_note());
    if (gate.evidence() == v1::EVIDENCE_DECK_PLACE) return AskPlace(*request.mutable_note());
    return Answer::kGiven;
  }

  /// Asks until it can be read.
  Answer AskPlace(std::string& place) {
    for (;;) {
      const Answer answer =
          AskFor("  The end at the deck's front, as front 2 ft 3 in behind > ", place);
      if (answer != Answer::kGiven) return answer;
      const auto stood = survey::ReadStood(place);
      if (stood) return Answer::kGiven;
      cli_.PrintLine(Clean(cli_.style, "  " + stood.error().Text()));
    }
  }

  /// One kind of tie-down at a time, until nothing more is typed.
  Answer AskTies(std::string& named) {
    cli_.PrintLine(
        "  Each kind like: 4 x 3/8 in grade 70 direct front. Enter alone ends the list.");
    cli_.PrintLine("  A strap: 2 x 4 in webbing direct rear. Weaker parts: ... binder 5,400 lb.");
    for (;;) {
      const auto typed = cli_.Ask("  Tie-downs > ");
      if (!typed) return Answer::kLeft;
      if (IsStop(*typed)) return Answer::kStop;
      if (typed->empty() && !named.empty()) return Answer::kGiven;
      if (const auto tie = survey::ReadTie(*typed); !tie) {
        cli_.PrintLine(Clean(cli_.style, "  " + tie.error().Text()));
        continue;
      }
      named += (named.empty() ? "" : "; ") + *typed;
    }
  }

  /// Asks until it is clear, or said in words what is wrong: nothing stands there beforehand.
  std::optional<std::string> AskWord() {
    for (;;) {
      const auto typed = cli_.Ask(kClearPrompt);
      if (!typed || IsClear(*typed) || !IsSlip(*typed)) return typed;
    }
  }

  /// Asks until something is typed.
  Answer AskFor(std::string_view prompt, std::string& answer) {
    do {
      const auto typed = cli_.Ask(prompt);
      if (!typed) return Answer::kLeft;
      if (IsStop(*typed)) return Answer::kStop;
      answer = *typed;
    } while (answer.empty());
    return Answer::kGiven;
  }

  Answer AskCount(const v1::Gate& gate, v1::ConfirmRequest& request) {
    const std::string prompt =
        fmt::format("  How many {}? A number, or what is wrong > ", Clean(cli_.style, gate.item()));
    for (;;) {
      std::string text;
      if (const Answer answer = AskFor(prompt, text); answer != Answer::kGiven) return answer;
      int64_t count = 0;
      const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), count);
      if (error == std::errc() && end == text.data() + text.size()) {
        request.set_count(count);
        return Answer::kGiven;
      }
      if (IsSlip(text)) continue;
      request.set_finding(text);
      return Answer::kGiven;
    }
  }

  void Give(const v1::ConfirmRequest& request, const v1::Gate& gate) {
    const bool found = !request.finding().empty();
    exit_ = cli_.Write<Moves, v1::ConfirmRequest, v1::Receipt>(
        cli_.session().moves(), &Moves::Confirm, request, {.heading = "NOT TAKEN"},
        [&](const v1::Receipt& receipt) {
          const v1::GateState state = found ? v1::GATE_STATE_NOT_CLEAR : v1::GATE_STATE_CLEAR;
          Lines lines{fmt::format(
              "  {} {}",
              found ? StateTag(cli_.style, state) : Inked(cli_.style, Ink::kGood, "given"),
              Clock(receipt.entry_time()))};
          if (found && !gate.remedy().empty()) {
            Append(lines, Wrap(Clean(cli_.style, "-> " + gate.remedy()),
                               {.width = cli_.style.width, .indent = 2, .hanging = 3}));
          }
          return lines;
        });
    if (exit_ != ExitCode::kOk) worst_ = exit_;
  }

  /// A count may be given and the gate still say no: another's count differs, or something is left.
  void SayWhetherItBalances(const v1::Gate& asked) {
    if (exit_ != ExitCode::kOk || !Counts(asked)) return;
    for (const v1::Gate& gate : move_.gates()) {
      const bool found = std::ranges::any_of(
          gate.words(), [](const v1::Word& word) { return !word.finding().empty(); });
      if (gate.gate_id() != asked.gate_id() || gate.state() != v1::GATE_STATE_NOT_CLEAR || found)
        continue;
      cli_.Print(Tagged(cli_.style, InkOf(gate.state()), PlainTag(cli_.style, gate.state()),
                        Clean(cli_.style, gate.reason())));
      cli_.PrintLine("  Count again, together: chockwise walk " + LastPart(name_));
    }
  }

  ExitCode NothingAsked() {
    const std::string text =
        fmt::format("move {}  {}: no gate is asked now.", LastPart(name_), Word(move_.state()));
    cli_.PrintLine(text);
    return ExitCode::kOk;
  }

  ExitCode Finished() {
    cli_.PrintLine("");
    const int waiting = GatesWaitingFor(move_, me_);
    if (waiting > 0) {
      cli_.PrintLine(fmt::format("{} of yours still not clear: chockwise show {}",
                                 Counted(waiting, "gate"), LastPart(name_)));
      return worst_;
    }
    cli_.PrintLine("All your gates are given.");
    const bool start = move_.phase() != v1::PHASE_CLOSE_OUT;
    if (me_.person() == move_.spotter() && start) {
      cli_.PrintLine(Inked(cli_.style, Ink::kLoud,
                           "Put this device in your pocket now. Hands and eyes only."));
    } else if (me_.person() == move_.driver()) {
      cli_.PrintLine(
          fmt::format("Next: chockwise {} {}", start ? "release" : "close", LastPart(name_)));
    }
    return worst_;
  }

  Cli& cli_;
  std::string name_;
  v1::Identity me_;
  v1::Move move_;
  std::set<std::string> asked_;
  int total_ = 0;
  ExitCode exit_ = ExitCode::kOk;
  ExitCode worst_ = ExitCode::kOk;
};

}  // namespace

ExitCode Walk(Cli& cli, const std::string& given) {
  if (cli.options.json)
    return cli.Usage(
        "walk asks questions; scripts give each word with: chockwise confirm MOVE GATE");
  auto name = cli.FindMove(given, Part::kEither);
  if (!name) return name.error();
  auto me = cli.Me();
  if (!me) return me.error();
  return Walker(cli, *name, *me).Run();
}

}  // namespace chockwise::cli
