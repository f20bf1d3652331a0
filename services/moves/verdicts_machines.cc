// Machines: tags, inspections, what was put down, and the ground under one left standing.

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/limits.h"
#include "services/moves/names.h"
#include "services/moves/verdicts.h"

namespace chockwise::moves {
namespace {

Outcome<const yard::Machine*> NamedMachine(const Bench& bench, std::string_view name) {
  const std::optional<std::string_view> unit = IdIn(name, bench.yard.yard->id, "machines");
  const yard::Machine* machine = unit ? bench.yard.yard->FindMachine(*unit) : nullptr;
  if (machine != nullptr) return machine;
  return RefuseNotFound(
      fmt::format("no machine is called \"{}\"; the board has the unit numbers", Tamed(name, 100)));
}

/// The open move a machine is on, as itself or as its carrier; null for none.
const Move* MoveOf(const YardState& yard, const MachineId& machine) {
  const auto state = yard.machines.find(machine);
  if (state == yard.machines.end()) return nullptr;
  const auto move = yard.moves.find(state->second.move);
  return move == yard.moves.end() ? nullptr : &move->second;
}

Outcome<std::monostate> CheckRoomForTag(const YardState& yard, const MachineId& machine) {
  const auto state = yard.machines.find(machine);
  if (state == yard.machines.end() || state->second.tags.size() < kMaxTags) return std::monostate{};
  return RefuseExhausted(fmt::format("{} carries {} tags", machine.value(), kMaxTags),
                         "Clear some first.");
}

/// How many stood there, where this is the first word that fewer do; 0 where it counts. Law 9: as
/// at a gate, no one person counts in what was put down.
int64_t StoodUncounted(const Bench& bench, const MachineId& id,
                       const v1::RecordPutDownRequest& request) {
  const auto machine = bench.yard.machines.find(id);
  if (machine == bench.yard.machines.end()) return 0;
  const int64_t stood = machine->second.StandThere(request.item());
  if (request.count() >= stood) return 0;
  const auto said = machine->second.fewer_said.find(request.item());
  const bool second = said != machine->second.fewer_said.end() &&
                      said->second.person != bench.person &&
                      said->second.count == request.count() && said->second.stood == stood;
  return second ? 0 : stood;
}

/// Whose hand takes this tag off, or why not this person's.
Outcome<std::monostate> CheckMayClear(const Bench& bench, const Tag& tag) {
  switch (tag.sort) {
    case TagSort::kHung: {
      if (bench.person == tag.person) return std::monostate{};
      const bool gone = bench.yard.FindPerson(tag.person) == nullptr;
      if (gone && bench.yard.HasRole(bench.person, yard::Role::kSafetyLead))
        return std::monostate{};
      return RefuseNotAllowed(
          {"tags", fmt::format("{} hung this tag; nobody else takes it off", tag.person.value()),
           gone ? "They have left the register: ask a safety lead." : "Ask them."});
    }
    case TagSort::kRefusal:
      if (bench.yard.IsLead(bench.person) && !tag.not_by.contains(bench.person))
        return std::monostate{};
      return RefuseNotAllowed(
          {"tags",
           "a yard lead who neither asked for the refused move nor drives it has to look in person",
           "Ask another yard lead."});
    case TagSort::kDefect:
      if (bench.yard.HasRole(bench.person, yard::Role::kTech)) return std::monostate{};
      return RefuseNotAllowed({"tags", "a defect is cleared by a tech", "Ask a tech."});
  }
  return std::monostate{};
}

}  // namespace

Outcome<Entries> Judge(const Bench& bench, const v1::HangTagRequest& request) {
  const Outcome<const yard::Machine*> machine = NamedMachine(bench, request.name());
  if (!machine) return tl::unexpected(machine.error());
  if (auto text = CheckText({"text", request.text(), kMaxTextLength, TextField::Need::kRequired});
      !text) {
    return tl::unexpected(text.error());
  }
  if (auto room = CheckRoomForTag(bench.yard, (*machine)->id); !room)
    return tl::unexpected(room.error());
  Entries entries{AnswerEntry(bench)};
  v1::TagHung& out = *entries.front().mutable_tag_hung();
  out.set_machine((*machine)->id.value());
  out.set_tag(bench.yard.next_tag);
  out.set_text(request.text());
  if (const Move* move = MoveOf(bench.yard, (*machine)->id)) {
    TakeBackInto(entries, bench, *move,
                 {v1::STOP_CAUSE_FACT_CHANGED, fmt::format("a tag was hung on {}", out.machine())});
  }
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::ClearTagRequest& request) {
  const Outcome<const yard::Machine*> machine = NamedMachine(bench, request.name());
  if (!machine) return tl::unexpected(machine.error());
  const auto state = bench.yard.machines.find((*machine)->id);
  const Tag* tag = nullptr;
  if (state != bench.yard.machines.end()) {
    for (const Tag& hung : state->second.tags) {
      if (hung.number == request.tag()) tag = &hung;
    }
  }
  if (tag == nullptr) {
    return RefuseNotFound(
        fmt::format("no tag {} hangs on {}", request.tag(), (*machine)->id.value()));
  }
  if (auto may = CheckMayClear(bench, *tag); !may) return tl::unexpected(may.error());
  v1::Entry entry = AnswerEntry(bench);
  entry.mutable_tag_cleared()->set_machine((*machine)->id.value());
  entry.mutable_tag_cleared()->set_tag(request.tag());
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::RecordInspectionRequest& request) {
  const Outcome<const yard::Machine*> machine = NamedMachine(bench, request.name());
  if (!machine) return tl::unexpected(machine.error());
  if (!bench.yard.HasRole(bench.person, yard::Role::kDriver) &&
      !bench.yard.HasRole(bench.person, yard::Role::kTech)) {
    return RefuseNotAllowed({"roles", "a driver or a tech inspects a machine", "Ask one of them."});
  }
  const Move* move = MoveOf(bench.yard, (*machine)->id);
  if (move != nullptr) {
    if (auto standing = CheckStanding(*move, "inspect the machine"); !standing)
      return tl::unexpected(standing.error());
  }
  if (auto text =
          CheckText({"defect", request.defect(), kMaxTextLength, TextField::Need::kOptional});
      !text) {
    return tl::unexpected(text.error());
  }
  Entries entries{AnswerEntry(bench)};
  v1::InspectionRecorded& out = *entries.front().mutable_inspection_recorded();
  out.set_machine((*machine)->id.value());
  out.set_defect(request.defect());
  if (request.defect().empty()) return entries;
  if (auto room = CheckRoomForTag(bench.yard, (*machine)->id); !room)
    return tl::unexpected(room.error());
  out.set_tag(bench.yard.next_tag);
  if (move != nullptr) {
    TakeBackInto(entries, bench, *move,
                 {v1::STOP_CAUSE_FACT_CHANGED, fmt::format("{} has a defect", out.machine())});
  }
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::RecordPutDownRequest& request) {
  const Outcome<const yard::Machine*> machine = NamedMachine(bench, request.name());
  if (!machine) return tl::unexpected(machine.error());
  const bool may = bench.yard.HasRole(bench.person, yard::Role::kDriver) ||
                   bench.yard.IsLead(bench.person) ||
                   bench.yard.HasRole(bench.person, yard::Role::kSpotter) ||
                   bench.yard.HasRole(bench.person, yard::Role::kTech);
  if (!may)
    return RefuseNotAllowed(
        {"roles", "drivers, spotters, techs and leads set chocks and cones", "Ask one of them."});
  const Move* move = MoveOf(bench.yard, (*machine)->id);
  if (move != nullptr) {
    if (auto standing = CheckStanding(*move, "set anything at the machine"); !standing) {
      return tl::unexpected(standing.error());
    }
  }
  if (auto item = CheckText({"item", request.item(), kMaxTitleLength, TextField::Need::kRequired});
      !item) {
    return tl::unexpected(item.error());
  }
  if (!request.has_count() || request.count() < 0 || request.count() > kMaxCount) {
    return RefuseField("count", fmt::format("say how many stand there, 0 to {}", kMaxCount));
  }
  Entries entries;
  const int64_t stood = StoodUncounted(bench, (*machine)->id, request);
  if (move != nullptr && stood == 0) {
    TakeBackInto(entries, bench, *move,
                 {v1::STOP_CAUSE_FACT_CHANGED, fmt::format("{} were put down", request.item())});
  }
  entries.insert(entries.begin(), AnswerEntry(bench));
  v1::PutDown& out = *entries.front().mutable_put_down();
  out.set_machine((*machine)->id.value());
  out.set_item(request.item());
  out.set_count(request.count());
  out.set_stood(stood);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::ClearGroundRequest& request) {
  if (auto lead = CheckLead(bench, "clear the ground"); !lead) return tl::unexpected(lead.error());
  const std::optional<int64_t> number = NumberIn(request.name(), bench.yard.yard->id, "moves");
  if (!number || !bench.yard.left_standing.contains(*number)) {
    return RefuseNotFound(
        fmt::format("no machine was left standing by \"{}\"", Tamed(request.name(), 100)));
  }
  if (!bench.yard.yard->places.contains(PlaceId(request.place()))) {
    return RefuseField("place",
                       fmt::format("\"{}\" is not a place on the map", Tamed(request.place(), 40)));
  }
  v1::Entry entry = AnswerEntry(bench);
  entry.set_move(*number);
  entry.set_move_state(v1::MOVE_STATE_LEFT_STANDING);
  entry.mutable_ground_cleared()->set_place(request.place());
  Entries entries{std::move(entry)};
  // Law 6: where it stands now may be where another one is about to go.
  const auto taken = bench.yard.taken.find("place/" + request.place());
  if (taken == bench.yard.taken.end()) return entries;
  if (const auto other = bench.yard.moves.find(taken->second); other != bench.yard.moves.end()) {
    TakeBackInto(entries, bench, other->second,
                 {v1::STOP_CAUSE_FACT_CHANGED,
                  fmt::format("{} was put at {}", bench.yard.left_standing.at(*number).value(),
                              request.place())});
  }
  return entries;
}

}  // namespace chockwise::moves
