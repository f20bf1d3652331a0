// The words of the survey, as the desk's verbs use them.
#pragma once

#include "services/fit/stopping.h"
#include "services/survey/words.h"

namespace chockwise::cli {

using survey::Mistyped;
using survey::Word;
using survey::Words;

/// What wheels and chocks stand on.
inline constexpr Words<fit::Surface, 9> kSurfaces = {{{"dry-concrete", fit::Surface::kDryConcrete},
                                                      {"wet-concrete", fit::Surface::kWetConcrete},
                                                      {"dry-asphalt", fit::Surface::kDryAsphalt},
                                                      {"wet-asphalt", fit::Surface::kWetAsphalt},
                                                      {"gravel", fit::Surface::kGravel},
                                                      {"wet-grass", fit::Surface::kWetGrass},
                                                      {"snow", fit::Surface::kSnow},
                                                      {"ice", fit::Surface::kIce},
                                                      {"wet-unknown", fit::Surface::kWetUnknown}}};
inline survey::Outcome<fit::Surface> SurfaceArgument(const std::string& name,
                                                     const std::string& text) {
  return Word(name, text, kSurfaces);
}

}  // namespace chockwise::cli
