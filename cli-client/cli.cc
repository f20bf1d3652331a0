#include "cli-client/cli.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <istream>
#include <ostream>
#include <utility>

#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

constexpr int kFewestColumns = 40;
constexpr int kMostColumns = 120;
constexpr int kMostPages = 100;

bool IsUtf8(const Environment& environment) {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    std::string value = environment(name);
    if (value.empty()) continue;
    std::ranges::transform(value, value.begin(), [](char c) {
      return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
    });
    return value.find("utf-8") != std::string::npos || value.find("utf8") != std::string::npos;
  }
  return false;
}

bool IsNumber(std::string_view text) {
  return !text.empty() && text.size() < 19 &&
         text.find_first_not_of("0123456789") == std::string_view::npos;
}

}  // namespace

Cli::Cli(Io io_given) : io(std::move(io_given)) {}

void Cli::Begin() {
  style.width = io.out_is_terminal ? std::clamp(io.columns, kFewestColumns, kMostColumns) : 80;
  style.height = io.out_is_terminal ? std::max(io.rows, 12) : 24;
  const bool colour = io.out_is_terminal && !options.no_color &&
                      io.environment("NO_COLOR").empty() && io.environment("TERM") != "dumb";
  style.inks = colour ? Inks::kAnsi : Inks::kNone;
  style.glyphs = IsUtf8(io.environment) ? Glyphs::kUtf8 : Glyphs::kAscii;
}

bool Cli::Connect(ExitCode& exit) {
  auto target = ResolveTarget(options, io.environment);
  if (!target) {
    exit = Usage(target.error());
    return false;
  }
  auto token = ResolveToken(options, io.environment);
  if (!token) {
    exit = Say(LocalNo(grpc::StatusCode::UNAUTHENTICATED, token.error()));
    return false;
  }
  const std::chrono::milliseconds timeout{static_cast<int64_t>(options.timeout_s * 1000)};
  session_ = std::make_unique<Session>(*target, *token, SessionLimits{.timeout = timeout});
  return true;
}

void Cli::PrintLine(std::string_view line) { io.out << line << '\n'; }

void Cli::Print(const Lines& lines) {
  for (const std::string& line : lines) PrintLine(line);
  io.out.flush();
}

void Cli::PrintJson(std::string_view json) { io.out << json << std::endl; }

void Cli::ClearScreen() {
  if (!io.out_is_terminal) return;
  io.out << "\033[2J\033[3J\033[H" << std::flush;
  banner_printed_ = false;
}

ExitCode Cli::Say(const No& no, const NoFacts& facts) {
  if (options.json) {
    PrintJson(ToJson(no, facts.request_id));
    return ExitCodeFor(no.code);
  }
  NoFacts known = facts;
  v1::Identity me;
  const bool can_ask = session_ && ExitCodeFor(no.code) != ExitCode::kServerAway &&
                       no.code != grpc::StatusCode::UNAUTHENTICATED;
  if (can_ask && session_->WhoAmI(me).ok()) known.viewer = me.person();
  PrintBanner();
  // The banner took a line of the screen.
  Style rest = style;
  if (banner_printed_) --rest.height;
  Print(NoScreen(no, known, rest));
  return ExitCodeFor(no.code);
}

ExitCode Cli::Usage(std::string message) {
  if (options.json) return Say(LocalNo(grpc::StatusCode::INVALID_ARGUMENT, std::move(message)));
  for (const std::string& line : Wrap(Clean(style, message), {.width = style.width}))
    io.err << line << '\n';
  return ExitCode::kUsage;
}

std::optional<std::string> Cli::Ask(std::string_view prompt) {
  io.out << prompt << std::flush;
  std::string line;
  if (!std::getline(io.in, line)) {
    io.out << '\n';
    return std::nullopt;
  }
  const std::size_t first = line.find_first_not_of(" \t\r");
  if (first == std::string::npos) return "";
  return line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
}

tl::expected<v1::Identity, ExitCode> Cli::Me() {
  v1::Identity me;
  const grpc::Status status = session_->WhoAmI(me);
  if (!status.ok()) return tl::unexpected(Say(ReadNo(status)));
  return me;
}

tl::expected<std::string, ExitCode> Cli::YardName() {
  const std::string yard = options.yard.empty() ? io.environment("CHOCKWISE_YARD") : options.yard;
  if (!yard.empty()) return yard.starts_with("yards/") ? yard : "yards/" + yard;
  auto me = Me();
  if (!me) return tl::unexpected(me.error());
  return me->yard();
}

tl::expected<std::string, ExitCode> Cli::Below(std::string_view collection, std::string_view id) {
  if (id.starts_with("yards/")) return std::string(id);
  auto yard = YardName();
  if (!yard) return yard;
  return fmt::format("{}/{}/{}", *yard, collection, id);
}

tl::expected<std::vector<v1::Move>, ExitCode> Cli::OpenMoves(const v1::ListMovesRequest& filter) {
  v1::ListMovesRequest request = filter;
  auto yard = YardName();
  if (!yard) return tl::unexpected(yard.error());
  request.set_parent(*yard);
  request.set_page_size(200);
  std::vector<v1::Move> moves;
  for (int page = 0; page < kMostPages; ++page) {
    v1::ListMovesResponse response;
    const grpc::Status status =
        session_->Call(session_->moves(), &v1::MoveService::Stub::ListMoves, request, response);
    if (!status.ok()) return tl::unexpected(Say(ReadNo(status)));
    moves.insert(moves.end(), response.moves().begin(), response.moves().end());
    if (response.next_page_token().empty()) break;
    request.set_page_token(response.next_page_token());
  }
  return moves;
}

tl::expected<std::string, ExitCode> Cli::FindMove(const std::string& given, Part part) {
  if (given.starts_with("yards/")) return given;
  if (IsNumber(given)) return Below("moves", given);
  v1::ListMovesRequest filter;
  std::string whose = "with unit " + given;
  v1::Identity me;
  if (!given.empty()) {
    filter.set_machine(given);
  } else {
    auto identity = Me();
    if (!identity) return tl::unexpected(identity.error());
    me = *identity;
    filter.set_person(me.person());
    whose = "of yours";
  }
  auto moves = OpenMoves(filter);
  if (!moves) return tl::unexpected(moves.error());
  if (given.empty()) {
    std::erase_if(*moves, [&](const v1::Move& move) {
      return (part == Part::kDriver && move.driver() != me.person()) ||
             (part == Part::kSpotter && move.spotter() != me.person());
    });
  }
  if (moves->empty()) {
    return tl::unexpected(
        Say(LocalNo(grpc::StatusCode::NOT_FOUND, fmt::format("no open move {}", whose))));
  }
  if (moves->size() == 1) return moves->front().name();
  std::string numbers;
  for (const v1::Move& move : *moves) {
    numbers += fmt::format("{}{} ({})", numbers.empty() ? "" : ", ", LastPart(move.name()),
                           move.machine());
  }
  return tl::unexpected(Usage(fmt::format("several open moves {}: {}; say which", whose, numbers)));
}

void Cli::PrintBanner() {
  if (banner_printed_ || options.json || !session_) return;
  const std::optional<v1::Identity>& me = session_->known_identity();
  if (!me || !me->rehearsal()) return;
  PrintLine(Inked(style, Ink::kWarn, "* REHEARSAL * Nothing here happens on a yard."));
  banner_printed_ = true;
}

void Cli::Show(const google::protobuf::Message& reply, const std::function<Lines()>& screen) {
  if (options.json) {
    PrintJson(ToJson(reply));
    return;
  }
  // A banner that cannot be fetched must not keep an answer back.
  v1::Identity me;
  if (session_) (void)session_->WhoAmI(me);
  PrintBanner();
  Print(screen());
}

Lines ReceiptScreen(const v1::Receipt& receipt, const Style& style) {
  std::string text =
      fmt::format("Recorded at {} (entry {}).", Clock(receipt.entry_time()), receipt.entry());
  if (receipt.move_state() == v1::MOVE_STATE_UNSPECIFIED) return {text};
  const std::string about = fmt::format("move {}  ", LastPart(receipt.name()));
  return {Inked(style, Ink::kLoud, about) + StateTag(style, receipt.move_state()) + "  " + text};
}

}  // namespace chockwise::cli
