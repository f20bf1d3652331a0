// What a verb works with: where it reads and prints, the options, the line to the server, and the
// few things that every verb does.
//
//   ExitCode Close(Cli& cli, const std::string& move) {
//     auto name = cli.FindMove(move, Part::kDriver);
//     if (!name) return name.error();
//     v1::CloseMoveRequest request;
//     request.set_name(*name);
//     return cli.Write(cli.session().moves(), &v1::MoveService::Stub::CloseMove, request, facts,
//     ReceiptScreen);
//   }
//
// Nothing here decides whether a move may do something: the server does. Threads: one.
#pragma once

#include <functional>
#include <iosfwd>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

#include "cli-client/exit_codes.h"
#include "cli-client/json.h"
#include "cli-client/no.h"
#include "cli-client/options.h"
#include "cli-client/render.h"
#include "cli-client/session.h"
#include "cli-client/style.h"

namespace chockwise::cli {

/// Where a run reads and writes. The terminal's size counts only where `out` is one.
struct Io {
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
  Environment environment;
  bool in_is_terminal = false;
  bool out_is_terminal = false;
  bool err_is_terminal = false;
  int columns = 80;
  int rows = 24;
};

/// Whose open moves are meant where no move is named.
enum class Part { kDriver, kSpotter, kEither, kAny };

class Cli {
 public:
  explicit Cli(Io io);

  GlobalOptions options;
  Io io;
  /// Set by Begin from the options and the terminal.
  Style style;

  /// Works out the style. Called after the options are read.
  void Begin();
  /// Opens the line to the server; false: the reason was printed, and `exit` is set.
  bool Connect(ExitCode& exit);
  Session& session() { return *session_; }

  void Print(const Lines& lines);
  void PrintLine(std::string_view line);
  /// One document on a line of its own.
  void PrintJson(std::string_view json);
  /// Clears a terminal; nothing where it is none.
  void ClearScreen();

  /// Says no, as text or JSON, and gives the exit code of it.
  ExitCode Say(const No& no, const NoFacts& facts = {});
  /// A complaint about what was typed.
  ExitCode Usage(std::string message);

  /// Asks on a terminal, or answers from it; unset at the end of input.
  std::optional<std::string> Ask(std::string_view prompt);
  bool Guided() const { return io.in_is_terminal && io.out_is_terminal && !options.json; }

  /// Who the caller is. Unset: it was said, with the exit code.
  tl::expected<v1::Identity, ExitCode> Me();
  /// yards/{yard}
  tl::expected<std::string, ExitCode> YardName();
  /// Name of a resource below the yard: "machines/SVC-104".
  tl::expected<std::string, ExitCode> Below(std::string_view collection, std::string_view id);
  /// A move by number, by unit number, by full name; or, where `given` is empty, the caller's one
  /// open move.
  tl::expected<std::string, ExitCode> FindMove(const std::string& given, Part part);
  tl::expected<std::vector<v1::Move>, ExitCode> OpenMoves(const v1::ListMovesRequest& filter);

  /// A fresh request_id, or the one that was given.
  std::string RequestId() const {
    return options.request_id.empty() ? NewRequestId() : options.request_id;
  }

  template <class Stub, class Request, class Reply>
  using Method = grpc::Status (Stub::*)(grpc::ClientContext*, const Request&, Reply*);

  /// Asks for something, or says why not.
  template <class Stub, class Request, class Reply>
  tl::expected<Reply, ExitCode> Fetch(Stub& stub, Method<Stub, Request, Reply> method,
                                      const Request& request, const NoFacts& facts = {}) {
    Reply reply;
    const grpc::Status status = session_->Call(stub, method, request, reply);
    if (!status.ok()) return tl::unexpected(Say(ReadNo(status), facts));
    return reply;
  }

  /// Asks for something and shows it; text comes from `screen`.
  template <class Stub, class Request, class Reply>
  ExitCode Read(Stub& stub, Method<Stub, Request, Reply> method, const Request& request,
                const NoFacts& facts, const std::function<Lines(const Reply&)>& screen) {
    auto reply = Fetch<Stub, Request, Reply>(stub, method, request, facts);
    if (!reply) return reply.error();
    Show(*reply, [&] { return screen(*reply); });
    return ExitCode::kOk;
  }

  /// Writes something once, whatever the line does: the request_id is set here and told where the
  /// answer stays out.
  template <class Stub, class Request, class Reply>
  tl::expected<Reply, ExitCode> Record(Stub& stub, Method<Stub, Request, Reply> method,
                                       Request request, NoFacts facts) {
    request.set_request_id(RequestId());
    facts.request_id = request.request_id();
    return Fetch<Stub, Request, Reply>(stub, method, request, facts);
  }

  /// Writes something once and shows the answer.
  template <class Stub, class Request, class Reply>
  ExitCode Write(Stub& stub, Method<Stub, Request, Reply> method, Request request, NoFacts facts,
                 const std::function<Lines(const Reply&)>& screen) {
    auto reply = Record<Stub, Request, Reply>(stub, method, std::move(request), std::move(facts));
    if (!reply) return reply.error();
    Show(*reply, [&] { return screen(*reply); });
    return ExitCode::kOk;
  }

  /// Prints a reply as JSON, or what `screen` makes of it under the banner of a rehearsal.
  void Show(const google::protobuf::Message& reply, const std::function<Lines()>& screen);
  /// Says on a screen of its own that this is a rehearsal, where it is one.
  void PrintBanner();

 private:
  bool banner_printed_ = false;
  std::unique_ptr<Session> session_;
};

/// "Recorded at 14:02:11 (entry 812). Move 14 stands as PARKED."
Lines ReceiptScreen(const v1::Receipt& receipt, const Style& style);

}  // namespace chockwise::cli
