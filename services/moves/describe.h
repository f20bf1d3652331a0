// The live state as the API's messages. Pure reads, for the server's answers and watches.
#pragma once

#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/people.pb.h"
#include "chockwise/v1/yards.pb.h"
#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::moves {

/// One move with the gates of its phase, evaluated at `now`.
v1::Move DescribeMove(const YardState& yard, const Move& move, Instant now);

/// The move a resource name means: open or lately ended.
Outcome<v1::Move> GetMove(const YardState& yard, const v1::GetMoveRequest& request, Instant now);

struct MovesPage {
  v1::ListMovesResponse moves;
  MoveNumber last = 0;  // the last one shown, where there are more; otherwise 0
};

/// A page of open moves, by number, with their gates at `now` where the view asks for them: those
/// behind the move of that number, 0 for the first page. The tokens that stand for these numbers
/// are the server's.
Outcome<MovesPage> ListMoves(const YardState& yard, const v1::ListMovesRequest& request,
                             MoveNumber after, Instant now);

/// The yard as it stands. Leaves `rehearsal` and `entries` to the server, who knows them.
v1::Yard DescribeYard(const YardState& yard, Instant now);

v1::Token DescribeToken(const YardState& yard, const Token& token);

/// The answer to the caller of a command, made from the first entry it left and that entry's
/// number. The same bytes again for a repeat, also after a restart.
v1::Receipt ReceiptFor(std::string_view yard_id, const v1::Entry& entry, int64_t number);

/// What a recorded "no" says to its caller: unset unless the entry is a release_refused or
/// close_refused.
std::optional<Refusal> RefusalIn(const v1::Entry& entry);

}  // namespace chockwise::moves
