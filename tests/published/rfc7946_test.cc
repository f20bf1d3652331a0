// RFC 7946, The GeoJSON Format: its examples, from memory, and what a yard makes of each. A yard
// asks for more than the RFC does (ids, types, elevations of lanes); here only the shapes are
// looked at.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "services/yard/draft.h"
#include "services/yard/feature.h"

namespace chockwise::yard {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

/// Reads a map of one feature with this geometry and these properties.
struct Read {
  Draft draft;
  Complaints complaints;
  explicit Read(const std::string& geometry, const std::string& properties) {
    Notes notes("map.geojson", complaints);
    ReadMap(
        R"({"type": "FeatureCollection", "features": [{"type": "Feature", "id": "f", "geometry": )" +
            geometry + R"(, "properties": )" + properties + "}]}",
        draft, notes);
  }
  std::string Text() const {
    std::string text;
    for (const Complaint& complaint : complaints) text += complaint.Text() + "\n";
    return text;
  }
};

const std::string kPlace = R"({"type": "place", "name": "f"})";
const std::string kArea = R"({"type": "area", "duty": "exit"})";
const std::string kLane = R"({"type": "lane", "from": "a", "to": "b"})";

TEST(Rfc7946, AppendixA1Point) {
  const Read read(R"({"type": "Point", "coordinates": [100.0, 0.0]})", kPlace);
  ASSERT_EQ(read.Text(), "");
  const Position& position = read.draft.yard.places.at(PlaceId("f")).position;
  EXPECT_EQ(position.longitude_deg, 100.0);  // 3.1.1: longitude first
  EXPECT_EQ(position.latitude_deg, 0.0);
}

TEST(Rfc7946, AppendixA2LineStringHasNoElevations) {
  EXPECT_THAT(
      Read(R"({"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]})", kLane).Text(),
      HasSubstr("coordinates[0]: has no elevation"));
}

TEST(Rfc7946, Section311AThirdElementIsTheElevation) {
  const Read read(
      R"({"type": "LineString", "coordinates": [[100.0, 0.0, 12.5], [100.0001, 0.0, 12.25]]})",
      kLane);
  EXPECT_EQ(read.draft.yard.lanes.at(LaneId("f")).line[1].elevation_m, 12.25);
  // "Implementations SHOULD NOT extend positions beyond three elements."
  EXPECT_THAT(Read(R"({"type": "Point", "coordinates": [100.0, 0.0, 1.0, 2.0]})", kPlace).Text(),
              HasSubstr("is not a position"));
}

TEST(Rfc7946, AppendixA3PolygonWithAndWithoutHole) {
  // The RFC's rings, a thousandth of their size: a yard reaches 10 km.
  const std::string outer =
      "[[100.0, 0.0], [100.001, 0.0], [100.001, 0.001], [100.0, 0.001], [100.0, 0.0]]";
  const std::string hole =
      "[[100.0008, 0.0008], [100.0008, 0.0002], [100.0002, 0.0002], [100.0002, 0.0008], [100.0008, "
      "0.0008]]";
  EXPECT_EQ(Read(R"({"type": "Polygon", "coordinates": [)" + outer + "]}", kArea).Text(), "");
  const Read read(R"({"type": "Polygon", "coordinates": [)" + outer + "," + hole + "]}", kArea);
  ASSERT_EQ(read.Text(), "");
  EXPECT_EQ(read.draft.yard.areas.at(AreaId("f")).rings.size(), 2u);
}

TEST(Rfc7946, Section316RingsAreClosedAndOfFourOrMore) {
  EXPECT_THAT(
      Read(R"({"type": "Polygon", "coordinates": [[[0, 0], [0.001, 0], [0, 0]]]})", kArea).Text(),
      HasSubstr("has 3 positions"));
  EXPECT_THAT(
      Read(
          R"({"type": "Polygon", "coordinates": [[[0, 0], [0.001, 0], [0, 0.001], [0.001, 0.001]]]})",
          kArea)
          .Text(),
      HasSubstr("is not closed"));
  // "Parsers SHOULD NOT reject Polygons that do not follow the right-hand rule": clockwise here.
  EXPECT_EQ(
      Read(R"({"type": "Polygon", "coordinates": [[[0, 0], [0, 0.001], [0.001, 0.001], [0, 0]]]})",
           kArea)
          .Text(),
      "");
}

TEST(Rfc7946, AppendixA4To7OtherGeometriesAreNotAYards) {
  for (const char* type : {"MultiPoint", "MultiLineString", "MultiPolygon", "GeometryCollection"}) {
    const std::string geometry = std::string(R"({"type": ")") + type + R"(", "coordinates": []})";
    EXPECT_THAT(Read(geometry, kArea).Text(), HasSubstr("must be a Polygon")) << type;
  }
}

TEST(Rfc7946, Section15TheExampleCollectionIsReadToItsEnd) {
  Draft draft;
  Complaints complaints;
  Notes notes("map.geojson", complaints);
  ReadMap(R"({"type": "FeatureCollection", "features": [
    {"type": "Feature", "geometry": {"type": "Point", "coordinates": [102.0, 0.5]}, "properties": {"prop0": "value0"}},
    {"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0]]},
     "properties": {"prop0": "value0", "prop1": 0.0}},
    {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]},
     "properties": {"prop0": "value0", "prop1": {"this": "that"}}}]})",
          draft, notes);
  // Right GeoJSON, and no yard: no feature has an id, none a type.
  EXPECT_EQ(complaints.size(), 6u);
}

TEST(Rfc7946, Section4CoordinatesAreWgs84) {
  Draft draft;
  Complaints complaints;
  Notes notes("map.geojson", complaints);
  ReadMap(
      R"({"type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "EPSG:3857"}}, "features": []})",
      draft, notes);
  ASSERT_GE(complaints.size(), 1u);
  EXPECT_EQ(complaints[0].field, "crs");
}

TEST(Rfc7946, Section319TheAntimeridianRunsThroughAYard) {
  Draft draft;
  Complaints complaints;
  Notes notes("map.geojson", complaints);
  ReadMap(R"({"type": "FeatureCollection", "features": [
    {"type": "Feature", "id": "west", "properties": {"type": "place", "name": "w"}, "geometry": {"type": "Point", "coordinates": [179.9999, -17.0]}},
    {"type": "Feature", "id": "east", "properties": {"type": "place", "name": "e"}, "geometry": {"type": "Point", "coordinates": [-179.9999, -17.0]}},
    {"type": "Feature", "id": "way", "properties": {"type": "lane", "from": "west", "to": "east"},
     "geometry": {"type": "LineString", "coordinates": [[179.9999, -17.0, 3.0], [-179.9999, -17.0, 3.0]]}}]})",
          draft, notes);
  ASSERT_EQ(complaints.size(), 0u);
  EXPECT_NEAR(draft.yard.lanes.at(LaneId("way")).length.metres(), 21.3, 0.1);
}

}  // namespace
}  // namespace chockwise::yard
