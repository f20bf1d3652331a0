// What verify says about a ledger that somebody changed with a database tool: the first wrong
// entry, in a sentence.
#include "services/ledger/verify.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/stat.h>

#include <thread>

#include "services/ledger/limits.h"
#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

using testing::HasSubstr;

// Entries 0 to 9 under checkpoint 0, 10 to 19 under checkpoint 1, 20 to 24 under none.
class Verify : public testing::Test {
 protected:
  void SetUp() override {
    auto ledger = *Ledger::Open(OptionsIn(folder_), NoReplay());
    ASSERT_OK(AppendAcknowledged(*ledger, 1, 9));
    first_ = *ledger->SignCheckpoint(kTestMicros);
    ASSERT_OK(AppendAcknowledged(*ledger, 10, 10));
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros + 1).status());
    ASSERT_OK(AppendAcknowledged(*ledger, 20, 5));
  }

  void Tamper(const std::string& sql) {
    sqlite3* handle = nullptr;
    ASSERT_EQ(sqlite3_open(database_.c_str(), &handle), SQLITE_OK);
    ASSERT_EQ(sqlite3_exec(handle, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
        << sqlite3_errmsg(handle);
    sqlite3_close(handle);
  }

  // Bytes and leaf together, as somebody would who knows how the hashes are made.
  void Forge(uint64_t seq, const std::string& bytes) {
    const std::string at = " WHERE seq = " + std::to_string(seq);
    Tamper("UPDATE entry SET bytes = CAST('" + bytes + "' AS BLOB), leaf = x'" +
           ToHex(LeafHash(bytes)) + "'" + at);
  }

  VerifyReport Check() {
    return VerifyLedger({.database_path = database_, .key = &key_, .head_path = head_});
  }
  VerifyReport CheckWithoutHead() {
    return VerifyLedger({.database_path = database_, .key = &key_});
  }

  static void ExpectFirst(const VerifyReport& report, FindingKind kind,
                          std::optional<uint64_t> first, std::optional<uint64_t> last) {
    ASSERT_FALSE(report.sound());
    EXPECT_EQ(FindingKindName(report.findings[0].kind), FindingKindName(kind)) << report.Text();
    EXPECT_EQ(report.findings[0].first_seq, first) << report.Text();
    EXPECT_EQ(report.findings[0].last_seq, last) << report.Text();
  }

  ScratchFolder folder_;
  const std::string database_ = folder_.File("yard.ledger");
  const std::string head_ = folder_.File("yard.head");
  const PublicKey key_ = KnownKey().Public();
  Checkpoint first_;
};

TEST_F(Verify, AnUntouchedLedgerIsSound) {
  const VerifyReport report = Check();
  EXPECT_TRUE(report.sound()) << report.Text();
  EXPECT_EQ(report.entries, 25u);
  EXPECT_EQ(report.checkpoints, 2u);
  EXPECT_EQ(report.latest_checkpoint->size, 20u);
  EXPECT_EQ(report.unsigned_entries, 5u);
  EXPECT_EQ(report.identity->yard, "test-yard");
  EXPECT_THAT(report.Text(), HasSubstr("not yet under a signature: 5 entries"));
}

TEST_F(Verify, AnAlteredEntryIsNamed) {
  Tamper("UPDATE entry SET bytes = CAST('it was clear' AS BLOB) WHERE seq = 13");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 13, 13);
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("Entry 13 is not what was recorded"));
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("checkpoint 1"));
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("Before it, entries 0 to 12 are unharmed"));
  EXPECT_EQ(report.findings.size(), 1u) << report.Text();
}

TEST_F(Verify, TheFirstOfSeveralAlteredEntriesComesFirst) {
  Tamper("UPDATE entry SET bytes = CAST('x' AS BLOB) WHERE seq IN (21, 4, 15)");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 4, 4);
  EXPECT_EQ(report.findings.size(), 3u) << report.Text();
}

TEST_F(Verify, AnAlteredLeafIsToldFromAnAlteredEntry) {
  Tamper("UPDATE entry SET leaf = zeroblob(32) WHERE seq = 7");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kLeafAltered, 7, 7);
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("The entry itself is as recorded"));
}

TEST_F(Verify, AForgedEntryIsNarrowedToTheStretchBetweenTwoSignatures) {
  Forge(13, "it was clear");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 10, 19);
  EXPECT_THAT(report.findings[0].sentence,
              HasSubstr("At least one of entries 10 to 19 is not what was recorded"));
}

TEST_F(Verify, NothingIsCalledUnharmedWithoutAWitness) {
  Forge(4, "it was clear");
  Tamper("UPDATE entry SET bytes = CAST('x' AS BLOB) WHERE seq = 22");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 0, 9);
  EXPECT_EQ(report.Text().find("unharmed"), std::string::npos) << report.Text();
}

TEST_F(Verify, ASingleForgedEntryIsNamedAsSuch) {
  {
    auto ledger = *Ledger::Open(OptionsIn(folder_), NoReplay());
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
    ASSERT_OK(AppendAcknowledged(*ledger, 25, 1));
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
  }
  Forge(25, "it was clear");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 25, 25);
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("Entry 25 is not what was recorded"));
}

TEST_F(Verify, AForgedEntryNotYetUnderASignatureIsCaughtByTheHead) {
  Forge(22, "it was clear");
  ExpectFirst(Check(), FindingKind::kEntryAltered, 20, 24);
  const VerifyReport report = CheckWithoutHead();
  EXPECT_TRUE(report.sound())
      << "nothing vouches for it: that is what the count of unsigned entries is for";
  EXPECT_EQ(report.unsigned_entries, 5u);
}

TEST_F(Verify, ADroppedEntryIsNamed) {
  Tamper("DELETE FROM entry WHERE seq = 6");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntriesMissing, 6, 6);
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("Entry 6 is missing"));
}

TEST_F(Verify, DroppedLastEntriesAreNamedByTheHeadOrTheCheckpoint) {
  Tamper("DELETE FROM entry WHERE seq >= 23");
  ExpectFirst(Check(), FindingKind::kEntriesMissing, 23, 24);
  EXPECT_TRUE(CheckWithoutHead().sound());
  Tamper("DELETE FROM entry WHERE seq >= 18");
  ExpectFirst(Check(), FindingKind::kEntriesMissing, 18, 24);
  ExpectFirst(CheckWithoutHead(), FindingKind::kEntriesMissing, 18, 19);
}

TEST_F(Verify, ExchangedEntriesAreFound) {
  Tamper(
      "UPDATE entry SET seq = -1 WHERE seq = 3; UPDATE entry SET seq = 3 WHERE seq = 4;"
      "UPDATE entry SET seq = 4 WHERE seq = -1");
  ExpectFirst(Check(), FindingKind::kEntryAltered, 0, 9);
}

TEST_F(Verify, AStrangeRowIsFound) {
  Tamper("INSERT INTO entry VALUES(-5, x'00', x'00'), (-6, x'00', x'00')");
  Tamper("UPDATE entry SET bytes = CAST('x' AS BLOB) WHERE seq = 13");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 13, 13);
  EXPECT_EQ(report.findings.size(), 2u) << report.Text();
}

TEST_F(Verify, AnEmptiedTableIsFoundEvenWithNothingToCompareWith) {
  Tamper("DELETE FROM entry; DELETE FROM checkpoint");
  ExpectFirst(CheckWithoutHead(), FindingKind::kGenesis, 0, 0);
}

TEST_F(Verify, ARehearsalMadeRealIsFound) {
  Tamper("UPDATE meta SET value = 'REHEARSAL' WHERE name = 'kind'");
  ExpectFirst(Check(), FindingKind::kGenesis, std::nullopt, std::nullopt);
  Identity other = *Check().identity;
  other.kind = LedgerKind::kRehearsal;
  Forge(0, GenesisBytes(other));
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kEntryAltered, 0, 9);
  EXPECT_THAT(report.Text(), HasSubstr("Checkpoint 0 is of another ledger than entry 0 says"));
}

TEST_F(Verify, DroppedCheckpointsAreFound) {
  Tamper("DELETE FROM checkpoint WHERE number = 1");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kCheckpointMissing, std::nullopt, std::nullopt);
  EXPECT_EQ(report.unsigned_entries, 15u);
}

TEST_F(Verify, ACheckpointMovedIntoAnotherPlaceIsFound) {
  Tamper("DELETE FROM checkpoint WHERE number = 0; UPDATE checkpoint SET number = 0");
  EXPECT_THAT(CheckWithoutHead().Text(), HasSubstr("checkpoints were dropped or exchanged"));
}

TEST_F(Verify, OneDroppedCheckpointIsOneSentence) {
  {
    auto ledger = *Ledger::Open(OptionsIn(folder_), NoReplay());
    for (int i = 0; i < 50; ++i) ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
  }
  Tamper("DELETE FROM checkpoint WHERE number = 1");
  EXPECT_EQ(CheckWithoutHead().findings.size(), 1u) << CheckWithoutHead().Text();
  Tamper("UPDATE checkpoint SET text = 'x'");
  EXPECT_LE(CheckWithoutHead().findings.size(), kMaxNamedFaults + 1);
}

TEST_F(Verify, AnAlteredCheckpointIsFoundAndDoesNotBlameTheEntries) {
  Tamper("UPDATE checkpoint SET text = replace(text, 'size 10', 'size 11') WHERE number = 0");
  const VerifyReport report = Check();
  ExpectFirst(report, FindingKind::kCheckpointAltered, std::nullopt, std::nullopt);
  EXPECT_EQ(report.findings.size(), 1u) << report.Text();
  EXPECT_THAT(report.findings[0].sentence, HasSubstr("Checkpoint 0"));
}

TEST_F(Verify, AnotherKeyIsNotTheYards) {
  const PublicKey other = SigningKey::Generate()->Public();
  const VerifyReport report =
      VerifyLedger({.database_path = database_, .key = &other, .head_path = head_});
  EXPECT_FALSE(report.sound());
  EXPECT_EQ(report.unsigned_entries, 25u);
}

// Somebody with the yard's own key writes the history anew. Only a checkpoint kept elsewhere tells.
TEST_F(Verify, AHistoryWrittenAnewWithTheRealKeyIsCaughtByAnEarlierCheckpoint) {
  const LedgerId id = Check().identity->id;
  const ScratchFolder forged;
  LedgerOptions options = OptionsIn(forged);
  options.id_if_new = id;
  {
    auto ledger = *Ledger::Open(options, NoReplay());
    std::vector<std::string> entries = Payloads(1, 24);
    entries[4] = "it was clear";
    ASSERT_OK(ledger->WriteHead(*ledger->Append(entries)));
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
  }
  VerifyOptions check{
      .database_path = options.database_path, .key = &key_, .head_path = options.head_path};
  EXPECT_TRUE(VerifyLedger(check).sound());
  check.trusted = &first_;
  const VerifyReport report = VerifyLedger(check);
  ASSERT_FALSE(report.sound());
  EXPECT_THAT(report.Text(), HasSubstr("the trusted checkpoint 0"));
  VerifyOptions honest{
      .database_path = database_, .key = &key_, .head_path = head_, .trusted = &first_};
  EXPECT_TRUE(VerifyLedger(honest).sound());
}

TEST_F(Verify, WhatIsNoLedgerIsSaidToBeNone) {
  WriteBytes(folder_.File("noise"), std::string(5000, 'n'));
  WriteBytes(folder_.File("empty"), "");
  for (const char* name : {"noise", "empty", "none"}) {
    const VerifyReport report = VerifyLedger({.database_path = folder_.File(name), .key = &key_});
    ASSERT_FALSE(report.sound()) << name;
  }
}

TEST_F(Verify, AClosedFileIsReadWithoutTouchingTheFolder) {
  const std::string before = ReadBytes(database_);
  EXPECT_TRUE(Check().sound());
  EXPECT_EQ(ReadBytes(database_), before);
  EXPECT_FALSE(std::filesystem::exists(database_ + "-wal"));
  EXPECT_FALSE(std::filesystem::exists(database_ + "-shm"));
}

TEST_F(Verify, ADeadWritersLogIsVerifiedToAndLeftAsItIs) {
  auto ledger = *Ledger::Open(OptionsIn(folder_), NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 25, 4));
  const ScratchFolder crashed;
  CopyAsCrashed(folder_, crashed);
  const std::string database = ReadBytes(crashed.File("yard.ledger"));
  const std::string log = ReadBytes(crashed.File("yard.ledger-wal"));
  ASSERT_GT(log.size(), 0u);
  const VerifyReport report = VerifyLedger({.database_path = crashed.File("yard.ledger"),
                                            .key = &key_,
                                            .head_path = crashed.File("yard.head")});
  EXPECT_TRUE(report.sound()) << report.Text();
  EXPECT_EQ(report.entries, 29u);
  EXPECT_EQ(ReadBytes(crashed.File("yard.ledger")), database);
  EXPECT_EQ(ReadBytes(crashed.File("yard.ledger-wal")), log);
}

TEST_F(Verify, ALiveLedgerIsVerifiedWhileItGrows) {
  auto ledger = *Ledger::Open(OptionsIn(folder_), NoReplay());
  std::atomic<bool> done = false;
  std::thread writer([&] {
    for (uint64_t seq = 25; seq < 400; ++seq) ASSERT_OK(AppendAcknowledged(*ledger, seq, 1));
    done = true;
  });
  int verified = 0;
  while (!done) {
    const VerifyReport report = Check();
    ASSERT_TRUE(report.sound()) << report.Text();
    ++verified;
  }
  writer.join();
  EXPECT_GT(verified, 0);
  EXPECT_EQ(Check().entries, 400u);
}

}  // namespace
}  // namespace chockwise::ledger
