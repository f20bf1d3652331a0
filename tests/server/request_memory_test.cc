#include "services/server/request_memory.h"

#include <gtest/gtest.h>

#include <map>
#include <random>

namespace chockwise::server {
namespace {

std::string Id(uint64_t number) {
  std::string bytes(16, '\0');
  for (int i = 0; i < 8; ++i) bytes[static_cast<size_t>(i)] = static_cast<char>(number >> (8 * i));
  return bytes;
}
const std::string kDigest(16, 'd');
const std::string kOther(16, 'o');

TEST(RequestMemory, FindsWhatItWasTold) {
  RequestMemory memory;
  EXPECT_FALSE(memory.Find({"dan", Id(1), kDigest}));
  memory.Remember({"dan", Id(1), kDigest}, 812);
  const auto found = memory.Find({"dan", Id(1), kDigest});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->entry, 812);
  EXPECT_TRUE(found->same_body);
  EXPECT_FALSE(memory.Find({"dan", Id(1), kOther})->same_body);
}

TEST(RequestMemory, OneIdOfTwoPeopleIsTwoRequests) {
  RequestMemory memory;
  memory.Remember({"dan", Id(1), kDigest}, 1);
  memory.Remember({"kim", Id(1), kOther}, 2);
  EXPECT_EQ(memory.Find({"dan", Id(1), kDigest})->entry, 1);
  EXPECT_EQ(memory.Find({"kim", Id(1), kOther})->entry, 2);
  EXPECT_FALSE(memory.Find({"ola", Id(1), kDigest}));
}

TEST(RequestMemory, WhatIsNoRequestIsNotRemembered) {
  RequestMemory memory;
  memory.Remember({"", "", ""}, 1);
  memory.Remember({"dan", "short", kDigest}, 2);
  EXPECT_EQ(memory.size(), 0u);
}

// Against the obvious implementation, with so small a memory that every request soon is forgotten
// again, and ids drawn from so few that they come back after they were forgotten.
TEST(RequestMemory, ForgetsTheOldestAsAPlainListWould) {
  constexpr size_t kMost = 50;
  RequestMemory memory(kMost);
  std::map<uint64_t, int64_t> plain;
  std::vector<uint64_t> order;
  std::mt19937_64 random(4711);
  int forgotten = 0;
  for (int64_t entry = 1; entry <= 20'000; ++entry) {
    const uint64_t id = random() % 400;
    if (plain.count(id) > 0) continue;
    memory.Remember({"dan", Id(id), kDigest}, entry);
    plain[id] = entry;
    order.push_back(id);
    if (order.size() > kMost) {
      plain.erase(order.front());
      order.erase(order.begin());
      ++forgotten;
    }
    if (entry % 16 != 0) continue;
    for (uint64_t any = 0; any < 400; ++any) {
      const auto found = memory.Find({"dan", Id(any), kDigest});
      ASSERT_EQ(found.has_value(), plain.count(any) > 0) << "entry " << entry << " id " << any;
      if (found) {
        ASSERT_EQ(found->entry, plain[any]);
      }
    }
  }
  EXPECT_EQ(memory.size(), kMost);
  EXPECT_GT(forgotten, 10'000);
}

}  // namespace
}  // namespace chockwise::server
