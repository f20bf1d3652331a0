// Times and lengths of time as people type them.

#include "cli-client/times.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <ctime>

namespace chockwise::cli {
namespace {

Timestamp At(int64_t seconds) {
  Timestamp time;
  time.set_seconds(seconds);
  return time;
}

class Times : public testing::Test {
 protected:
  static void Zone(const char* zone) {
    setenv("TZ", zone, 1);
    tzset();
  }
  ~Times() override { Zone("UTC"); }
};

TEST_F(Times, TheNextTimeOfDayIsAlwaysAhead) {
  Zone("UTC");
  const int64_t noon = 1795521600;  // 2026-11-24 12:00 UTC
  EXPECT_EQ(NextTimeOfDay("12:01", At(noon))->seconds(), noon + 60);
  EXPECT_EQ(NextTimeOfDay("12:00", At(noon))->seconds(), noon + 86'400);
  EXPECT_EQ(NextTimeOfDay("06:30", At(noon))->seconds(), noon + 66'600);
  for (const char* wrong : {"", "24:00", "12:60", "noon", "12:00:00", "12:00 pm"}) {
    EXPECT_FALSE(NextTimeOfDay(wrong, At(noon))) << wrong;
  }
}

// Central European rules as POSIX writes them: the clock goes forward at 02:00 on 2026-03-29.
TEST_F(Times, TheZonesRulesHoldAcrossAChangeOfClocks) {
  Zone("CET-1CEST,M3.5.0,M10.5.0/3");
  const int64_t evening = 1774731600;  // 2026-03-28 22:00 CET
  EXPECT_EQ(NextTimeOfDay("06:00", At(evening))->seconds(), evening + 7 * 3600)
      << "a night one hour short";
}

TEST_F(Times, PointsInTime) {
  Zone("UTC");
  const int64_t now = 1795561331;  // 2026-11-24 23:02:11 UTC
  EXPECT_EQ(ReadTime("2026-11-24", At(now))->seconds(), 1795478400);
  EXPECT_EQ(ReadTime("2026-11-24 14:00", At(now))->seconds(), 1795478400 + 14 * 3600);
  EXPECT_EQ(ReadTime("2026-11-24T14:00", At(now))->seconds(), 1795478400 + 14 * 3600);
  EXPECT_EQ(ReadTime("06:00", At(now))->seconds(), 1795478400 + 6 * 3600);
  EXPECT_EQ(ReadTime("3d", At(now))->seconds(), now - 3 * 86'400);
  EXPECT_FALSE(ReadTime("2026-13-01", At(now)));
  EXPECT_FALSE(ReadTime("yesterday", At(now)));
}

// Law 2: a bare number has no unit, so it says nothing.
TEST_F(Times, SpansHaveUnits) {
  EXPECT_EQ(ReadSpan("6m")->seconds(), 360);
  EXPECT_EQ(ReadSpan("6 min")->seconds(), 360);
  EXPECT_EQ(ReadSpan("1h30m")->seconds(), 5400);
  EXPECT_EQ(ReadSpan("90s")->seconds(), 90);
  EXPECT_EQ(ReadSpan("2d")->seconds(), 172'800);
  for (const char* wrong : {"", "6", "m", "-6m", "6x", "6m 5", "999999999999999999999h", "401d"}) {
    EXPECT_FALSE(ReadSpan(wrong)) << wrong;
  }
}

}  // namespace
}  // namespace chockwise::cli
