// What the parts of Apply() share. Private to the heart: apply.h is its door.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "services/moves/state.h"

namespace chockwise::moves {

// fold_words.cc: words on gates, what undoes them, and what they count.
void StaleAll(Move& move);
void StaleParty(Move& move, v1::Party party);
void StalePhase(Move& move, v1::Phase phase);
void StaleOn(const YardState& yard, Move& move, v1::Happening happening);
/// Words on gates that ask something else now: a word is worth what was asked. Law 11.
void StaleReworded(const yard::Yard& before, const yard::Yard& now, Move& move);
/// Words on the counts of an item.
void StaleCounts(const YardState& yard, Move& move, const std::string& item);
/// The words given last in a phase: something else was said there after them. Law 4.
void StaleGivenLast(const YardState& yard, Move& move, v1::Phase phase);
/// What the gates of a phase counted in is no longer put down. Law 9.
void PickUp(YardState& yard, Move& move, v1::Phase phase);
/// What moves before left at its machine and carrier, and the gates of a phase counted again, is
/// this move's to count in. Law 9.
void TakeOver(YardState& yard, Move& move, v1::Phase phase);
/// What a move that ends has put down and not counted in stays where it lies: at its carrier, where
/// it has one, otherwise at its machine. Law 9.
void LeaveBehind(YardState& yard, const Move& move);
void RecordWord(YardState& yard, Move& move, const v1::Entry& entry);

// fold_move.cc: entries about one open move.
/// False: not an entry that changes an open move.
bool ApplyToMove(YardState& yard, Move& move, const v1::Entry& entry);
void OpenMove(YardState& yard, const v1::Entry& entry);
/// Law 7: no move is released afterwards, and what was under way is stopped.
void FallBack(YardState& yard, Instant time, v1::StopCause cause);

// fold_yard.cc: entries about the yard.
void ApplyToYard(YardState& yard, const v1::Entry& entry);
/// What the register hangs behind a machine.
std::vector<MachineId> TowedBy(const YardState& yard, const MachineId& machine);
void Hang(YardState& yard, const std::string& machine, Tag tag);
Tag TagFrom(const v1::Entry& entry, int64_t number, std::string text);

}  // namespace chockwise::moves
