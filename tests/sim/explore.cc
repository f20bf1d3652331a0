#include "tests/sim/explore.h"

#include <chrono>
#include <deque>
#include <memory>
#include <unordered_set>

#include "services/moves/apply.h"
#include "services/moves/decide.h"
#include "tests/sim/digest.h"
#include "tests/sim/tiny_yard.h"

namespace chockwise::sim {
namespace {

using moves::Instant;
using moves::YardState;

/// How a state was come to. Shared by all that grew from it.
struct Path {
  std::shared_ptr<const Path> before;
  std::string label;
  moves::Entries entries;
};

struct Node {
  YardState yard;
  Instant now;
  std::shared_ptr<const Path> path;
  int depth = 0;
};

struct Hash128 {
  uint64_t a = 0, b = 0;
  bool operator==(const Hash128&) const = default;
};
struct HashOfHash {
  size_t operator()(const Hash128& hash) const { return static_cast<size_t>(hash.a); }
};

/// Two unlike hashes of the text: a state that is taken for another by chance would hide what lies
/// behind it.
Hash128 HashOf(const std::string& text) {
  uint64_t fnv = 14695981039346656037ULL;
  for (const char c : text) fnv = (fnv ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  return {std::hash<std::string>{}(text), fnv};
}

class Explorer {
 public:
  Explorer(const Heart& heart, const Bounds& bounds) : heart_(heart), bounds_(bounds) {}

  Explored Run() {
    const auto begin = std::chrono::steady_clock::now();
    const auto seconds = [&] {
      return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    };
    Plant();
    while (!open_.empty() && report_.breaks.empty() && seconds() < bounds_.seconds) {
      const Node node = std::move(open_.front());
      open_.pop_front();
      // Breadth first: the first one of a depth says that all before it are done.
      report_.depth = node.depth;
      if (node.depth >= bounds_.depth) break;
      Expand(node);
    }
    report_.seconds = seconds();
    return std::move(report_);
  }

 private:
  void Plant() {
    for (const std::vector<std::string>& life : Lives()) {
      Node node{.yard = {}, .now = TinyMorning(), .path = nullptr};
      Order load;
      load.label = "load";
      load.command = TinyLoad();
      Try(node, load, &node);
      for (const std::string& label : life) {
        const size_t before = Length(node.path.get());
        Try(node, OrderCalled(label), &node);
        if (!report_.breaks.empty()) return;
        // Some steps are there to be refused, and a wrong heart may refuse others: the life goes
        // on.
        if (Length(node.path.get()) == before) continue;
        node.depth = 0;
        if (seen_.insert(HashOf(TinyText(node.yard, node.now))).second) {
          ++report_.states;
          ++report_.stations;
          open_.push_back(node);
        }
      }
    }
  }

  void Expand(const Node& node) {
    ++report_.expanded;
    for (const Order& order : AllOrders()) {
      Node next;
      if (!Try(node, order, &next)) continue;
      if (!report_.breaks.empty()) return;
      if (!seen_.insert(HashOf(TinyText(next.yard, next.now))).second) continue;
      ++report_.states;
      open_.push_back(std::move(next));
    }
  }

  /// Gives one order and judges what came of it. False: it was refused, or there was nothing to
  /// say.
  bool Try(const Node& node, const Order& order, Node* out) {
    Node next{.yard = {}, .now = node.now, .path = nullptr, .depth = node.depth + 1};
    moves::Entries entries;
    if (order.wait) {
      next.now = order.wait(node.yard, node.now);
      if (next.now == node.now) return false;
      next.yard = node.yard;
    } else {
      v1::Command command = order.command;
      if (order.fill && !order.fill(node.yard, node.now, command)) return false;
      moves::Outcome<moves::Entries> outcome = heart_.decide(node.yard, command, node.now);
      if (!outcome) {
        ++report_.refused;
        Judge(node.path.get(), order.label,
              JudgeStep(
                  {.order = order, .before = node.yard, .after = node.yard, .accepted = false}));
        return false;
      }
      entries = std::move(*outcome);
      next.yard = node.yard;
      for (const v1::Entry& entry : entries) heart_.apply(next.yard, entry);
    }
    ++report_.transitions;
    ++report_.accepted[order.label];
    for (const v1::Entry& entry : entries) ++report_.entries[entry.what_case()];
    next.path = std::make_shared<const Path>(Path{node.path, order.label, std::move(entries)});
    JudgeAll(node, order, next);
    *out = std::move(next);
    return true;
  }

  void JudgeAll(const Node& before, const Order& order, const Node& after) {
    if (order.wait) return;
    History history;
    for (const Path* path = after.path.get(); path != nullptr; path = path->before.get()) {
      for (auto entry = path->entries.rbegin(); entry != path->entries.rend(); ++entry)
        history.push_back(&*entry);
    }
    std::reverse(history.begin(), history.end());
    const Path* path = after.path.get();
    Judge(path, "", JudgeEntries(history, history.size() - path->entries.size()));
    Judge(
        path, "",
        JudgeStep({.order = order, .before = before.yard, .after = after.yard, .accepted = true}));
    Judge(path, "", JudgeState(history, after.yard));
  }

  void Judge(const Path* path, const std::string& last, const Breaks& breaks) {
    if (breaks.empty()) return;
    if (report_.path.empty()) {
      if (!last.empty()) report_.path.push_back(last);
      for (; path != nullptr; path = path->before.get()) report_.path.push_back(path->label);
      std::reverse(report_.path.begin(), report_.path.end());
    }
    report_.breaks.insert(report_.breaks.end(), breaks.begin(), breaks.end());
  }

  static size_t Length(const Path* path) {
    size_t length = 0;
    for (; path != nullptr; path = path->before.get()) ++length;
    return length;
  }

  const Heart& heart_;
  const Bounds bounds_;
  std::deque<Node> open_;
  std::unordered_set<Hash128, HashOfHash> seen_;
  Explored report_;
};

}  // namespace

Heart TrueHeart() { return {.decide = moves::Decide, .apply = moves::Apply}; }

Explored Explore(const Heart& heart, const Bounds& bounds) { return Explorer(heart, bounds).Run(); }

}  // namespace chockwise::sim
