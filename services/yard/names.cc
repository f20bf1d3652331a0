// The names of roles, parties and steerings: here, and nowhere else.
#include "services/yard/yard.h"

namespace chockwise::yard {

std::string_view RoleName(Role role) {
  switch (role) {
    case Role::kDriver:
      return "driver";
    case Role::kSpotter:
      return "spotter";
    case Role::kTech:
      return "tech";
    case Role::kYardLead:
      return "yard-lead";
    case Role::kSafetyLead:
      return "safety-lead";
    case Role::kVisitorHost:
      return "visitor-host";
    case Role::kReader:
      return "reader";
  }
  return "";
}

std::string_view SteeringName(Steering steering) {
  switch (steering) {
    case Steering::kFrontAxle:
      return "front-axle";
    case Steering::kRearAxle:
      return "rear-axle";
    case Steering::kAllWheel:
      return "all-wheel";
    case Steering::kArticulated:
      return "articulated";
    case Steering::kSkid:
      return "skid";
    case Steering::kTracks:
      return "tracks";
    case Steering::kCrab:
      return "crab";
  }
  return "";
}

std::string_view PartyWord(v1::Party party) {
  switch (party) {
    case v1::PARTY_DRIVER:
      return "driver";
    case v1::PARTY_SPOTTER:
      return "spotter";
    case v1::PARTY_YARD_LEAD:
      return "yard lead";
    case v1::PARTY_TECH:
      return "tech";
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "nobody known";
}

}  // namespace chockwise::yard
