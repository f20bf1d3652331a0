// Every limit of a yard's files in one place. What is larger is a complaint, never a truncation.
#pragma once

#include <cstddef>

namespace chockwise::yard {

// Bytes of a yard's files together: they are recorded whole, in one entry of the ledger, and shown
// again in one answer. A map of kFeatures lanes of ten positions each takes a third of it.
constexpr size_t kYardBytes = 3 << 20;
// Bytes of the rules, of the yard's own and of the base rules alike.
constexpr size_t kRulesBytes = 512 << 10;

// Things in one file.
constexpr size_t kFeatures = 5'000;
constexpr size_t kPositions = 1'000;  // of one lane or one ring
constexpr size_t kRings = 20;         // of one area
constexpr size_t kRows = 20'000;      // of one table
constexpr size_t kCellBytes = 1'000;
constexpr int kGates = 500;
constexpr int kGateSets = 50;
constexpr int kKinds = 100;

// Characters of one text.
constexpr size_t kIdCharacters = 40;
constexpr size_t kNameCharacters = 80;
constexpr size_t kTitleCharacters = 40;
constexpr size_t kSentenceCharacters = 200;
constexpr size_t kPostCodeCharacters = 12;
constexpr size_t kAttachmentCharacters = 40;

// Sizes of things.
constexpr int kCapacity = 100;      // machines at one place
constexpr int kChocks = 50;         // chocks under one machine
constexpr size_t kTowed = 6;        // units behind one machine
constexpr int kLeastCount = 50;     // the most that a gate may ask to be put down
constexpr double kReachM = 10'000;  // from the first position of the map to any other
constexpr double kSteepest = 0.5;   // rise over run of a stretch of lane; more is a slip of the pen
constexpr double kElevationM = 9'000;  // above or below the ellipsoid

// How far what is drawn may lie from what it belongs to. Common practice for a map traced from an
// aerial picture.
constexpr double kLaneEndM = 5;  // a lane's end from its place
constexpr double kOnLaneM = 3;   // a door or hold point from its lane
constexpr double kTouchM =
    0.1;  // an area this close to a lane's line is touched: rounded toward caution
// Ends of lanes at one spot, and the place's own height there: a level read twice. No more than
// what a ride allows the ground's points to be off, for it drives over one of the ends.
constexpr double kOneHeightM = 0.006;
constexpr double kNominalM = 0.3;  // a door's nominal opening from the taped one

// Complaints of one reading. The last one says how many more there were.
constexpr size_t kComplaints = 1'000;

// Years that a date may fall in.
constexpr int kFirstYear = 2000;
constexpr int kLastYear = 2199;

// The longest age or freshness that a rule may give.
constexpr int kLongestAgeDays = 3'660;

}  // namespace chockwise::yard
