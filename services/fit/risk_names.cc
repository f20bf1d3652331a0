// The words of the risk matrix, as Tables I to III print them, and of the controls.
#include "services/fit/risk.h"

namespace chockwise::fit {

std::string_view Name(Severity severity) {
  switch (severity) {
    case Severity::kCatastrophic:
      return "Catastrophic";
    case Severity::kCritical:
      return "Critical";
    case Severity::kMarginal:
      return "Marginal";
    case Severity::kNegligible:
      return "Negligible";
  }
  return "";
}

std::string_view Name(Probability probability) {
  switch (probability) {
    case Probability::kFrequent:
      return "Frequent";
    case Probability::kProbable:
      return "Probable";
    case Probability::kOccasional:
      return "Occasional";
    case Probability::kRemote:
      return "Remote";
    case Probability::kImprobable:
      return "Improbable";
    case Probability::kEliminated:
      return "Eliminated";
  }
  return "";
}

std::string_view Name(RiskLevel level) {
  switch (level) {
    case RiskLevel::kHigh:
      return "High";
    case RiskLevel::kSerious:
      return "Serious";
    case RiskLevel::kMedium:
      return "Medium";
    case RiskLevel::kLow:
      return "Low";
    case RiskLevel::kEliminated:
      return "Eliminated";
  }
  return "";
}

std::string_view Name(Control control) {
  switch (control) {
    case Control::kSecondWalkAround:
      return "Second walk-around by the spotter";
    case Control::kYardLeadReleases:
      return "The yard lead gives the release";
    case Control::kSecondSpotter:
      return "Second spotter on the far side";
    case Control::kPathBarred:
      return "Barrier around the path";
    case Control::kWalkingPace:
      return "No faster than the spotter walks";
    case Control::kWandsAndLamps:
      return "Wands and lamps";
    case Control::kEscort:
      return "A person of the yard stays with the stranger";
    case Control::kSignalsRehearsed:
      return "Signals rehearsed before the engine starts";
    case Control::kHoldBeforeTight:
      return "Stop and look before the tight spot";
    case Control::kChocksAtHand:
      return "Chocks at hand";
  }
  return "";
}

}  // namespace chockwise::fit
