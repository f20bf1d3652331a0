// The features of a map by their sort, and what ties them together: ends to places, doors to lanes,
// areas to both.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "services/yard/draft.h"
#include "services/yard/feature.h"
#include "services/yard/plane.h"

namespace chockwise::yard {

class MapShapes {
 public:
  explicit MapShapes(Notes& notes) : notes_(notes) {}

  /// Reads one feature by its "type" into the draft. With an empty id it is only looked at.
  void Read(const std::string& id, Properties& properties, const nlohmann::json& geometry,
            Draft& draft);

  /// Once all are read: looks at how they lie to each other, and works out lengths, doors along
  /// their lanes and the ground that areas touch.
  void Connect(Draft& draft);

 private:
  void ReadPlace(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                 Draft& draft);
  void ReadLane(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                Draft& draft);
  void ReadDoor(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                Draft& draft);
  void ReadHoldPoint(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                     Draft& draft);
  void ReadArea(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                Draft& draft);

  void ReadOverhead(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                    Draft& draft);
  void ReadObstacle(const std::string& id, Properties& properties, const nlohmann::json& geometry,
                    Draft& draft);

  void ConnectLane(Lane& lane, const Plane& plane, const Draft& draft);
  void CompareHeights(const Plane& plane, const Draft& draft);
  template <class Spot>
  void ConnectSpot(Spot& spot, const Plane& plane, const Draft& draft);
  void ConnectArea(Area& area, const Plane& plane, const Draft& draft);
  bool AreRingsSound(const std::string& id, const Rings& rings);
  std::string ReadPostCode(Properties& properties);
  void Complain(std::string where, std::string field, std::string problem, std::string right);

  Notes& notes_;
  std::map<std::string, Position> spots_;          // of what lies on a lane, by id
  std::map<std::string, std::string> post_codes_;  // → the feature that has it
  std::vector<std::pair<std::string, Position>>
      seen_;  // every position with its feature, in file order
};

}  // namespace chockwise::yard
