// MIL-STD-882E: Tables I and II and rows A and B of Table III read in public copies, the
// cells 1C, 2E, 3E, 4C, 4E and F from memory. 882D, with other thresholds and other cells, is not
// this.
#include <gtest/gtest.h>

#include "services/fit/risk.h"

namespace chockwise::fit {
namespace {

TEST(MilStd882E, TableIII) {
  const std::string_view rows[6][4] = {{"High", "High", "Serious", "Medium"},
                                       {"High", "High", "Serious", "Medium"},
                                       {"High", "Serious", "Medium", "Low"},
                                       {"Serious", "Medium", "Medium", "Low"},
                                       {"Medium", "Medium", "Medium", "Low"},
                                       {"Eliminated", "Eliminated", "Eliminated", "Eliminated"}};
  for (int row = 0; row < 6; ++row)
    for (int column = 0; column < 4; ++column)
      EXPECT_EQ(Name(RiskOf(static_cast<Severity>(column), static_cast<Probability>(row))),
                rows[row][column])
          << row << " " << column;
  // The cells that wrong copies get wrong.
  EXPECT_EQ(RiskOf(Severity::kCatastrophic, Probability::kOccasional), RiskLevel::kHigh);  // 1C
  EXPECT_EQ(RiskOf(Severity::kCatastrophic, Probability::kRemote), RiskLevel::kSerious);   // 1D
  EXPECT_EQ(RiskOf(Severity::kCritical, Probability::kRemote), RiskLevel::kMedium);        // 2D
  EXPECT_EQ(RiskOf(Severity::kMarginal, Probability::kImprobable), RiskLevel::kMedium);    // 3E
  EXPECT_EQ(RiskOf(Severity::kNegligible, Probability::kOccasional), RiskLevel::kLow);     // 4C
}

TEST(MilStd882E, TableIAtItsThresholds) {
  const std::pair<Mishap, Severity> rows[] = {
      {{.deaths = 1}, Severity::kCatastrophic},
      {{.permanent_total_disabilities = 1}, Severity::kCatastrophic},
      {{.harm = EnvironmentalHarm::kIrreversible}, Severity::kCatastrophic},
      {{.loss_dollars = 10'000'000}, Severity::kCatastrophic},
      {{.loss_dollars = 9'999'999}, Severity::kCritical},
      {{.permanent_partial_disabilities = 1}, Severity::kCritical},
      {{.hospitalised = 3}, Severity::kCritical},
      {{.hospitalised = 2}, Severity::kMarginal},
      {{.harm = EnvironmentalHarm::kSignificant}, Severity::kCritical},
      {{.loss_dollars = 1'000'000}, Severity::kCritical},
      {{.loss_dollars = 999'999}, Severity::kMarginal},
      {{.lost_work_days = 1}, Severity::kMarginal},
      {{.harm = EnvironmentalHarm::kModerate}, Severity::kMarginal},
      {{.loss_dollars = 100'000}, Severity::kMarginal},
      {{.loss_dollars = 99'999}, Severity::kNegligible},
      {{}, Severity::kNegligible}};
  for (const auto& [mishap, severity] : rows)
    EXPECT_EQ(SeverityOf(mishap), severity) << Name(severity) << " " << mishap.loss_dollars;
}

TEST(MilStd882E, TableIIAtItsThresholds) {
  const std::pair<double, Probability> rows[] = {
      {1, Probability::kFrequent},         {0.1, Probability::kFrequent},
      {0.0999, Probability::kProbable},    {0.01, Probability::kProbable},
      {0.00999, Probability::kOccasional}, {0.001, Probability::kOccasional},
      {9.99e-4, Probability::kRemote},     {1e-6, Probability::kRemote},
      {9.99e-7, Probability::kImprobable}};
  for (const auto& [chance, probability] : rows)
    EXPECT_EQ(ProbabilityOf(chance), probability) << chance;
  // "No amount of doctrine, training, warning, caution ... can move a mishap probability to level
  // F": no number gives it.
  EXPECT_FALSE(ProbabilityOf(0));
}

}  // namespace
}  // namespace chockwise::fit
