// Everything in the server that can grow, and how far. One place, so that a reader can see that
// nothing is without end.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>

namespace chockwise::server {

// The mailbox. Stops are not counted: what bounds them is the number of calls that the transport
// lets be open.
inline constexpr size_t kMaxWaitingJobs = 20'000;   // the next ordinary one is RESOURCE_EXHAUSTED
inline constexpr size_t kMaxBatchEntries = 16'384;  // a batch is cut once it holds so many
inline constexpr size_t kMaxBatchBytes = 8 << 20;
inline constexpr size_t kMaxBatchesInFlight = 4;  // between the writer and the completer

// What is remembered of requests. The oldest are forgotten first: a repeat that comes later is
// judged anew.
inline constexpr size_t kMaxRememberedRequests = 500'000;

// Requests and pages.
inline constexpr int kMaxRequestBytes = 64 << 10;
inline constexpr int32_t kDefaultPageSize = 50;
inline constexpr int32_t kMaxPageSize = 200;

// Answers that say no must fit into 8 KiB of trailing metadata, the default of every client: the
// details travel as base64, which takes 4/3 of their size, and beside them go the message and its
// escapes.
inline constexpr size_t kMaxDetailBytes = 4'200;
inline constexpr size_t kMaxStatusMessageBytes = 480;

// Transport.
inline constexpr int kMaxStreamsPerConnection = 2'048;
inline constexpr size_t kMaxTransportMemoryBytes = size_t{256} << 20;
inline constexpr int kKeepaliveTimeMs = 30'000;
inline constexpr int kKeepaliveTimeoutMs = 10'000;
inline constexpr int kMinPingIntervalMs = 10'000;

// Watchers.
inline constexpr size_t kMaxWatchers = 5'000;
inline constexpr size_t kMaxWatchersPerPerson =
    2'000;  // a display on every wall of a yard may share a person
inline constexpr size_t kMaxQueuedPerWatcher = 64;  // one that is further behind is cut

// Calls with a bad token, per peer address.
inline constexpr int kMaxBadTokens = 20;  // within the window; further ones are RESOURCE_EXHAUSTED
inline constexpr std::chrono::seconds kBadTokenWindow{60};
inline constexpr size_t kMaxPeersRemembered = 4'096;
inline constexpr size_t kMaxSecretBytes = 256;  // a longer one is not looked at

// Time.
inline constexpr std::chrono::milliseconds kTickPeriod{250};
inline constexpr int64_t kClockStepMicros = 2'000'000;  // wall against steady clock; more is a step
inline constexpr std::chrono::seconds kCheckpointPeriod{60};
inline constexpr int64_t kCheckpointEntries = 1'000;
inline constexpr std::chrono::seconds kDrainTime{3};  // for calls still open after the last commit

// Work that leaves the writer's thread (reading a yard's folder, proofs): calls that may wait for
// it.
inline constexpr size_t kMaxErrands = 64;

// History: how often its reader looks for new entries, and how far it gives way to the commit path.
inline constexpr std::chrono::milliseconds kHistoryPeriod{100};
inline constexpr int kHistoryNiceness = 10;

// The log: lines that wait for a slow reader of standard error. The oldest are dropped.
inline constexpr size_t kMaxLogMessages = 8'192;

}  // namespace chockwise::server
