#include "tests/moves/story/digest.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace chockwise::moves {
namespace {

std::string Counts(const std::map<std::string, int64_t>& counts) {
  std::string text;
  for (const auto& [item, count] : counts) text += fmt::format(" {}={}", item, count);
  return text;
}

std::string WordsText(const Move& move) {
  std::string text;
  for (const GateWords& gate : move.words) {
    for (const Word& word : gate.words) {
      text += fmt::format("  word {}/{} party {} {}{} at {} count {} finding \"{}\" note \"{}\"\n",
                          gate.gate_id, v1::Phase_Name(gate.phase), v1::Party_Name(word.party),
                          word.person.value(), word.stale ? " stale" : "", word.time.micros(),
                          word.count, word.finding, word.note);
    }
  }
  return text;
}

std::string ReleaseText(const Release& release) {
  return fmt::format("  release {} {} from {} to \"{}\" at {} by {} on {} {}\n", release.number,
                     v1::Phase_Name(release.phase), v1::MoveState_Name(release.from_state),
                     release.limit, release.time.micros(), release.start_by.micros(),
                     release.yard_version, release.yard_digest);
}

std::string MachineText(const MachineId& id, const MachineState& machine) {
  std::string text = fmt::format(
      "machine {} at \"{}\" move {} inspected {}{}\n", id.value(), machine.place.value(),
      machine.move, machine.inspected ? machine.inspected->micros() : -1, Counts(machine.put_down));
  if (!machine.left_over.empty()) text += "  left over" + Counts(machine.left_over) + '\n';
  for (const auto& [item, said] : machine.fewer_said) {
    text +=
        fmt::format("  {} says {} {} of {}\n", said.person.value(), said.count, item, said.stood);
  }
  for (const Tag& tag : machine.tags) {
    text += fmt::format("  tag {} sort {} by {} \"{}\" at {} refused {} not by", tag.number,
                        static_cast<int>(tag.sort), tag.person.value(), tag.text, tag.time.micros(),
                        tag.refused_move);
    for (const PersonId& person : tag.not_by) text += ' ' + person.value();
    text += '\n';
  }
  return text;
}

std::string TokensText(const YardState& state) {
  std::string text;
  for (const auto& [number, token] : state.tokens) {
    text += fmt::format(
        "token {} of {} by {} revoked \"{}\" {} to {} hash {}\n", number, token.person.value(),
        token.issued_by.value(), token.revoked_by.value(), token.issued.micros(),
        token.expires.micros(),
        fmt::join(std::vector<int>(token.secret_hash.begin(), token.secret_hash.end()), ""));
  }
  return text + fmt::format("hashes {}\n", state.token_by_hash.size());
}

}  // namespace

std::string Digest(const Move& move) {
  std::string text = fmt::format(
      "move {} {} {} machine {} carrier \"{}\" {} to {} by {} driver {} spotter \"{}\"{}{}{} "
      "passed {} "
      "releases {} requested {} updated {} entry {}{}\n",
      move.number, v1::MoveState_Name(move.state), move.kind, move.machine.value(),
      move.carrier.value(), move.from.value(), move.to.value(), move.requester.value(),
      move.driver.value(), move.spotter.value(), move.spotter_accepted ? " accepted" : "",
      move.begun ? move.at_line ? " begun at-line" : " begun" : "",
      move.unattended ? " unattended" : "", move.stops_passed, move.releases_given,
      move.requested.micros(), move.updated.micros(), move.entry, Counts(move.put_down));
  text += fmt::format("  way {} stops {} doors {} ground {}\n", fmt::join(move.way->lanes, ","),
                      fmt::join(move.way->stops, ","), fmt::join(move.way->doors, ","),
                      fmt::join(move.way->ground, ","));
  text += WordsText(move);
  for (const Acceptance& acceptance : move.acceptances) {
    text +=
        fmt::format("  accepted {}/{} by {}: {}\n", acceptance.gate_id,
                    v1::Phase_Name(acceptance.phase), acceptance.by.value(), acceptance.stood_at);
  }
  if (move.release) text += ReleaseText(*move.release);
  for (const StopWord& stop : move.stops) {
    text += fmt::format("  stop by \"{}\" {} \"{}\" at {} lifted \"{}\"\n", stop.person.value(),
                        v1::StopCause_Name(stop.cause), stop.text, stop.time.micros(),
                        stop.lifted_by.value());
  }
  return text;
}

std::string Digest(const YardState& state) {
  std::string text =
      fmt::format("version {} {} by {} at {} trouble \"{}\" entries {} next {} {} {} last {}\n",
                  state.version.number, state.version.digest, state.version.loaded_by.value(),
                  state.version.loaded.micros(), state.version.trouble, state.entries,
                  state.next_move, state.next_tag, state.next_token, state.last_time.micros());
  for (const auto& [number, move] : state.moves) text += Digest(move);
  for (const Move& move : state.ended) text += "ended " + Digest(move);
  text += fmt::format("live {}\n", fmt::join(state.live, ","));
  for (const auto& [ground, number] : state.taken)
    text += fmt::format("taken {} {}\n", ground, number);
  for (const auto& [id, machine] : state.machines) text += MachineText(id, machine);
  for (const auto& [id, door] : state.doors_out) {
    text += fmt::format("door {} out by {} \"{}\" at {}\n", id.value(), door.reported_by.value(),
                        door.text, door.time.micros());
  }
  for (const auto& [id, number] : state.spotting)
    text += fmt::format("{} spots {}\n", id.value(), number);
  for (const auto& [number, id] : state.left_standing) {
    text += fmt::format("left standing {} {}\n", number, id.value());
  }
  if (state.hold) {
    text += fmt::format("hold by {} \"{}\" at {}\n", state.hold->person.value(), state.hold->reason,
                        state.hold->time.micros());
  }
  if (state.shift) {
    text += fmt::format("shift \"{}\" {} to {} by {}\n", state.shift->title,
                        state.shift->begin.micros(), state.shift->end.micros(),
                        state.shift->lead.value());
  }
  return text + TokensText(state);
}

}  // namespace chockwise::moves
